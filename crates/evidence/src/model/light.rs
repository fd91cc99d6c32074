//! Meters that hardly load what they read are asked as if they did not: settling every bent core anew for a current of microamperes
//! takes half the time of a judgement and moves nothing anybody can read.
//!
//! Whether a meter loads is a matter of the circuit, not of the meter alone: 10 MΩ are nothing across a winding, and something where the
//! path back leads through an unloaded core. So it is reckoned for every place, in the middle of what is believed before any reading.

use super::FindProblem;
use network::Question;

/// A meter that lowers what it reads by less than this share, where the parameters are as they most likely are, is taken as none. The
/// finest display tells 5e-4 of its value, so the meter may still load a hundred times as much before anybody could read it.
const LIGHT: f64 = 5e-6;

impl FindProblem {
    /// Takes the burden from the questions whose meter hardly loads.
    pub(super) fn lift_light_burdens(&mut self) {
        let centres = self.registry.centres();
        for (index, station) in self.problem.stations.iter_mut().enumerate() {
            let mut asked: Vec<&mut Question> = (self.problem.observations.iter_mut())
                .filter(|o| o.station == index)
                .flat_map(|o| {
                    let others = o.other_places.iter_mut().map(|other| &mut other.question);
                    std::iter::once(&mut o.question).chain(others)
                })
                .filter(|q| burden_of(q) != 0.0)
                .collect();
            if asked.is_empty() {
                continue;
            }
            let values: Vec<f64> = (station.bindings.iter())
                .map(|b| b.value(&centres))
                .collect();
            let questions: Vec<Question> = asked.iter().map(|q| (**q).clone()).collect();
            // A circuit without a solution there keeps its meters.
            let Ok(shares) = station.solver.loading(&values, &questions) else {
                continue;
            };
            let light = asked.iter_mut().zip(shares).filter(|(_, s)| *s < LIGHT);
            for (question, _) in light {
                if let Question::Voltage { burden, .. } | Question::Current { burden, .. } =
                    question
                {
                    *burden = 0.0;
                }
            }
        }
    }
}

fn burden_of(question: &Question) -> f64 {
    match question {
        Question::Voltage { burden, .. } | Question::Current { burden, .. } => *burden,
        _ => 0.0,
    }
}
