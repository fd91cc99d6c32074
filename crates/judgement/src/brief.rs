//! A judgement in brief: what a list of finds and a history tell of it, and so what is stored of it. The rest is derived again from the
//! same entries, by the same version, from the same priors.

use crate::said::{Judgement, Learned, ReadingSaid, Verdict};
use serde::{Deserialize, Serialize};

/// What was judged, in brief.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Brief {
    /// Readings that agree.
    pub agree: usize,
    /// Readings that prove nothing.
    pub floating: usize,
    /// Readings nothing judges yet.
    pub not_judged: usize,
    /// Readings struck by the owner.
    pub struck: usize,
    /// Readings that contradict, then those that are doubtful.
    pub queried: Vec<Queried>,
    /// What on the plate contradicts itself, a sentence each.
    pub plate: Vec<String>,
    /// Which wiring the readings leave, in a sentence or two; `None` where no reading says.
    pub wiring: Option<String>,
    /// What is open, the most pressing first, each in a few words.
    pub open: Vec<String>,
}

/// A reading that is queried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Queried {
    /// 24.
    pub number: u32,
    /// Contradicts or doubtful.
    pub verdict: Verdict,
    /// "21.2 V", as it was shown.
    pub read: String,
    /// "2.11 ± 0.08 V", the reading left out; `None` where nothing is predicted.
    pub predicted: Option<String>,
    /// Probability that it, or the drawing, is wrong.
    pub wrong: Option<f64>,
    /// "decimal point?"; empty where nothing is suspected.
    pub remark: String,
}

/// A prior a judgement took.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Prior<'a> {
    /// "ratio of T4".
    pub name: &'a str,
    /// Its 95 % interval before any reading: "2.50 ± 0.08".
    pub before: &'a str,
    /// Its unit.
    pub unit: &'a str,
    /// What it rests on.
    pub basis: &'a str,
}

impl Brief {
    /// A judgement in brief.
    pub fn of(said: &Judgement) -> Self {
        let of = |verdict| said.readings.iter().filter(move |r| r.verdict == verdict);
        Self {
            agree: of(Verdict::Agrees).count(),
            floating: of(Verdict::Floating).count(),
            not_judged: of(Verdict::NotJudged).count(),
            struck: of(Verdict::Struck).count(),
            queried: of(Verdict::Contradicts)
                .chain(of(Verdict::Doubtful))
                .map(queried)
                .collect(),
            plate: said
                .plate
                .contradictions
                .iter()
                .map(|c| c.sentence.clone())
                .collect(),
            wiring: said.candidates.as_ref().map(|c| c.summary.clone()),
            open: open(said),
        }
    }

    /// How many readings have a verdict that queries them.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.queried.iter().filter(|q| q.verdict == verdict).count()
    }

    /// In one line: "reading 24 contradicts (decimal point?), 28 agree".
    pub fn words(&self) -> String {
        let mut words: Vec<String> = self.queried.iter().map(Queried::words).collect();
        if !self.plate.is_empty() {
            words.push("the plate contradicts itself".to_owned());
        }
        for (count, one, many) in [
            (self.agree, "agrees", "agree"),
            (self.floating, "floats", "float"),
            (self.not_judged, "is not judged", "are not judged"),
            (self.struck, "is struck", "are struck"),
        ] {
            match count {
                0 => {}
                1 => words.push(format!("1 {one}")),
                count => words.push(format!("{count} {many}")),
            }
        }
        if words.is_empty() {
            return "no reading yet".to_owned();
        }
        words.join(", ")
    }
}

impl Queried {
    fn words(&self) -> String {
        let verb = match self.verdict {
            Verdict::Contradicts => "contradicts",
            _ => "is doubtful",
        };
        if self.remark.is_empty() {
            format!("reading {} {verb}", self.number)
        } else {
            format!("reading {} {verb} ({})", self.number, self.remark)
        }
    }
}

/// The priors a judgement took: as its account of what was learned has them.
pub(crate) fn priors(learned: &[Learned]) -> Vec<Prior<'_>> {
    learned
        .iter()
        .map(|l| Prior {
            name: &l.name,
            before: &l.before,
            unit: &l.unit,
            basis: &l.basis,
        })
        .collect()
}

fn queried(reading: &ReadingSaid) -> Queried {
    let predicted = reading
        .predicted
        .as_ref()
        .map(|value| match &reading.plus_minus {
            Some(pm) => format!("{value} ± {pm} {}", reading.unit),
            None => format!("{value} {}", reading.unit),
        });
    Queried {
        number: reading.number,
        verdict: reading.verdict,
        read: format!("{} {}", reading.read, reading.unit),
        predicted: predicted.map(|p| p.trim_end().to_owned()),
        wrong: reading.wrong,
        remark: reading.remark.clone(),
    }
}

fn open(said: &Judgement) -> Vec<String> {
    let of = |verdict| said.readings.iter().filter(move |r| r.verdict == verdict);
    let mut open: Vec<String> = of(Verdict::Contradicts)
        .map(|r| queried(r).words())
        .collect();
    if !said.plate.contradictions.is_empty() {
        open.push("the plate contradicts itself".to_owned());
    }
    let traced = said.tracing.iter().filter(|t| !t.contradictions.is_empty());
    open.extend(traced.map(|t| format!("the tests of {} contradict each other", t.part)));
    open.extend(said.wiring.faults.first().cloned());
    if let Some(candidates) = &said.candidates {
        if !candidates.decided {
            open.push("which wiring it is".to_owned());
        } else if !candidates.as_recorded {
            open.push("another wiring is likelier than the one recorded".to_owned());
        }
    }
    open.extend(of(Verdict::Doubtful).map(|r| queried(r).words()));
    open.extend(said.unlocks.first().map(|unlock| unlock.fact.clone()));
    open
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Judge;

    /// The creamery find as told in `examples/creamery.toml`: reading 24 has a slipped decimal point (the file's own remark).
    #[test]
    fn the_creamery_find_in_brief_and_back() {
        let find = sheet::read(include_str!("../../../examples/creamery.toml")).unwrap();
        let count = find.readings.len();
        let judge = Judge::new(find);
        let brief = Brief::of(judge.promptly());
        let first = &brief.queried[0];
        assert_eq!((first.number, first.verdict), (24, Verdict::Contradicts));
        assert!(
            brief
                .words()
                .starts_with("reading 24 contradicts (decimal point?)"),
            "{}",
            brief.words()
        );
        assert!(brief.open[0].starts_with("reading 24 contradicts"));
        let others = brief.agree + brief.floating + brief.not_judged + brief.struck;
        assert_eq!(others + brief.queried.len(), count);
        let priors = judge.priors();
        assert!(
            priors
                .iter()
                .any(|p| !p.before.is_empty() && !p.basis.is_empty())
        );
        let text = serde_json::to_string(&brief).unwrap();
        assert_eq!(serde_json::from_str::<Brief>(&text).unwrap(), brief);
        assert!(text.len() < 4000, "{} bytes a judgement", text.len());
    }

    #[test]
    fn what_a_later_version_says_more_is_passed_over() {
        let text = r#"{ "agree": 2, "thermal": 7 }"#;
        let brief: Brief = serde_json::from_str(text).unwrap();
        assert_eq!(brief.words(), "2 agree");
        assert_eq!(Brief::default().words(), "no reading yet");
    }
}
