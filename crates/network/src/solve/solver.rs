//! The solver: holds the shapes met and the work space, and takes one set of values through them.

use super::ask::{Asked, Asking};
use super::check::check;
use super::excitation::Excitation;
use super::knee::{Newton, Ports};
use super::layout::Layout;
use super::shape::{Shape, straight};
use super::sparse::Factors;
use super::{Answer, Answered, NetworkError, Question, Solution, solution};
use crate::circuit::Circuit;
use num_complex::Complex64;

/// Shapes kept at once. Our choice: three sliders passing three taps each, one after another, need a dozen.
const SHAPES: usize = 32;

const ZERO: Complex64 = Complex64::new(0.0, 0.0);

/// A circuit ordered for solving, with its work space. Reuse it for many sets of values: the first solve of a pattern finds its order,
/// later ones neither order nor allocate. What it answers depends on the values alone, never on what was solved before, beyond
/// rounding.
#[derive(Debug, Clone)]
pub struct Solver {
    circuit: Circuit,
    layout: Layout,
    shapes: Vec<Shape>,
    current: usize,
    state: State,
    asking: Asking,
}

/// The solved state in the solver's numbering.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) values: Vec<f64>,
    pub(super) right: Vec<Complex64>,
    pub(super) x: Vec<Complex64>,
    residual: Vec<Complex64>,
    correction: Vec<Complex64>,
    /// Excitations of the bent cores.
    pub(super) laws: Vec<Excitation>,
    /// The straight admittance of each bent core that the matrix holds.
    pub(super) straight: Vec<Complex64>,
    /// For each bent core: what one ampere-turn on it does to every unknown.
    pub(super) spread: Vec<Vec<Complex64>>,
    pub(super) ports: Ports,
    pub(super) newton: Newton,
}

impl Solver {
    /// Numbers a circuit.
    /// # Errors
    /// `BadValue` for an index that names nothing. A source shorted by links is told by [`Solver::solve`]: whether it has an
    /// impedance is a matter of values.
    pub fn new(circuit: Circuit) -> Result<Self, NetworkError> {
        let layout = Layout::new(&circuit)?;
        let (size, bent) = (layout.size, layout.bent.len());
        let state = State {
            values: Vec::new(),
            right: vec![ZERO; size],
            x: vec![ZERO; size],
            residual: vec![ZERO; size],
            correction: vec![ZERO; size],
            laws: Vec::with_capacity(bent),
            straight: vec![ZERO; bent],
            spread: vec![vec![ZERO; size]; bent],
            ports: Ports::new(bent),
            newton: Newton::new(bent),
        };
        let asking = Asking::new(size, bent);
        Ok(Self {
            circuit,
            layout,
            shapes: Vec::new(),
            current: 0,
            state,
            asking,
        })
    }

    /// The circuit.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// How many unknowns the equations have.
    pub fn unknowns(&self) -> usize {
        self.layout.size
    }

    /// Solves for these values.
    /// # Errors
    /// [`NetworkError`].
    pub fn solve(&mut self, values: &[f64]) -> Result<Solution, NetworkError> {
        self.settle(values)?;
        Ok(solution::collect(
            &self.circuit,
            &self.layout,
            &self.shapes[self.current],
            &self.state,
        ))
    }

    /// Solves for these values and answers with gradients, in the order of the questions.
    /// # Errors
    /// [`NetworkError`].
    pub fn answer(
        &mut self,
        values: &[f64],
        questions: &[Question],
    ) -> Result<Answered, NetworkError> {
        let mut answered = Vec::with_capacity(questions.len());
        self.answer_into(values, questions, &mut answered)?;
        Ok(answered)
    }

    /// [`Solver::answer`] into answers of an earlier call, whose room is used again: nothing is allocated when they have the same shape.
    /// # Errors
    /// [`NetworkError`]; the answers are then not to be used.
    pub fn answer_into(
        &mut self,
        values: &[f64],
        questions: &[Question],
        answered: &mut Answered,
    ) -> Result<(), NetworkError> {
        self.settle(values)?;
        answered.truncate(questions.len());
        self.ask(|asked| {
            for (k, question) in questions.iter().enumerate() {
                if answered.len() == k {
                    answered.push(Answer::Open);
                }
                asked.answer(question, &mut answered[k])?;
            }
            Ok(())
        })
    }

    /// By what share each question's meter lowers what it reads, at these values: its burden times what the circuit puts behind it
    /// (Thévenin's theorem), bent cores taken along their straight line. 0 for a meter without burden, infinite where the circuit has
    /// no answer for the question.
    /// # Errors
    /// [`NetworkError`] where the circuit itself has none.
    pub fn loading(
        &mut self,
        values: &[f64],
        questions: &[Question],
    ) -> Result<Vec<f64>, NetworkError> {
        self.assemble(values)?;
        self.ask(|asked| Ok(questions.iter().map(|q| asked.loading(q)).collect()))
    }

    /// Assembles, factorises and settles the state for these values, without collecting anything: what [`Solver::solve`] and
    /// [`Solver::answer`] begin with, public so that it can be timed alone.
    /// # Errors
    /// [`NetworkError`].
    pub fn settle(&mut self, values: &[f64]) -> Result<(), NetworkError> {
        self.assemble(values)?;
        let shape = &mut self.shapes[self.current];
        let Some(factors) = shape.factors.as_mut() else {
            return Err(unordered());
        };
        let state = &mut self.state;
        factors.solve(&state.right, &mut state.x);
        // One step of refinement gives back what an order found for other values may have lost.
        shape
            .matrix
            .residual(&state.x, &state.right, &mut state.residual);
        factors.solve(&state.residual, &mut state.correction);
        for (x, more) in state.x.iter_mut().zip(&state.correction) {
            *x += more;
        }
        if !self.layout.bent.is_empty() {
            state.bend(&self.circuit, &self.layout, factors)?;
        }
        Ok(())
    }

    /// Asks the state as it stands.
    fn ask<T>(
        &mut self,
        ask: impl FnOnce(&mut Asked) -> Result<T, NetworkError>,
    ) -> Result<T, NetworkError> {
        let shape = &mut self.shapes[self.current];
        let Some(factors) = shape.factors.take() else {
            return Err(unordered());
        };
        let mut asked =
            self.asking
                .with(&self.circuit, &self.layout, shape, factors, &mut self.state);
        let told = ask(&mut asked);
        shape.factors = Some(asked.factors);
        told
    }

    /// The equations at these values, factorised.
    fn assemble(&mut self, values: &[f64]) -> Result<(), NetworkError> {
        check(&self.circuit, values)?;
        self.state.values.clear();
        self.state.values.extend_from_slice(values);
        self.choose_shape();
        let shape = &mut self.shapes[self.current];
        shape.settle_loops(&self.circuit, &self.layout, values)?;
        shape.assemble(&self.circuit, &self.layout, values, &mut self.state.right);
        self.factorise()
    }

    fn choose_shape(&mut self) {
        let values = &self.state.values;
        if self
            .shapes
            .get(self.current)
            .is_some_and(|s| s.fits(&self.layout, values))
        {
            return;
        }
        if let Some(known) = self
            .shapes
            .iter()
            .position(|s| s.fits(&self.layout, values))
        {
            self.current = known;
            return;
        }
        if self.shapes.len() == SHAPES {
            self.shapes.remove(0);
        }
        self.shapes.push(Shape::new(&self.layout, values));
        self.current = self.shapes.len() - 1;
    }

    fn factorise(&mut self) -> Result<(), NetworkError> {
        let shape = &mut self.shapes[self.current];
        if shape
            .factors
            .as_mut()
            .is_some_and(|f| f.again(&shape.matrix))
        {
            return Ok(());
        }
        match Factors::new(&shape.matrix) {
            Ok(factors) => {
                shape.factors = Some(factors);
                Ok(())
            }
            Err(at) => Err(NetworkError::Singular {
                at: self.layout.name(&self.circuit, at),
            }),
        }
    }
}

impl State {
    /// Settles the cores that bend and carries what they depart from the straight line to every unknown.
    fn bend(
        &mut self,
        circuit: &Circuit,
        layout: &Layout,
        factors: &mut Factors,
    ) -> Result<(), NetworkError> {
        self.laws.clear();
        let count = layout.bent.len();
        for (port, &index) in layout.bent.iter().enumerate() {
            let core = &circuit.cores[index].1;
            let Some(bend) = &core.bend else { continue };
            self.laws.push(Excitation::new(core, bend, &self.values));
            self.straight[port] = straight(core, &self.values);
            let row = layout.first_core + index;
            self.ports.open[port] = self.x[row];
            self.residual.fill(ZERO);
            self.residual[row] = Complex64::new(1.0, 0.0);
            factors.solve(&self.residual, &mut self.spread[port]);
            for (other, &felt) in layout.bent.iter().enumerate() {
                self.ports.transfer[other * count + port] =
                    self.spread[port][layout.first_core + felt];
            }
        }
        self.newton
            .settle(&mut self.ports, &self.laws, &self.straight)?;
        for (spread, &departure) in self.spread.iter().zip(&self.ports.departure) {
            for (x, felt) in self.x.iter_mut().zip(spread) {
                *x -= felt * departure;
            }
        }
        Ok(())
    }
}

fn unordered() -> NetworkError {
    NetworkError::Singular {
        at: "the order, which was lost: a fault of this program".into(),
    }
}
