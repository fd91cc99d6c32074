//! All that is said of one find, each statement with what it rests on.
//!
//! [`Judge::new`] takes a find and makes a [`Judgement`]: plain, serialisable data in sentences and figures, the one thing page,
//! report and command line show. [`Judge::live`] answers for a moved slider, another supply or load. Figures are rounded here,
//! once.

mod behaviour;
mod belief;
pub mod cautions;
mod judge;
mod learned;
mod live;
mod nominal;
mod phase;
mod ports;
mod readings;
mod said;
mod stage;
mod unlocks;
pub mod works;

/// Stand-in until plate.rs lands.
#[allow(missing_docs)]
pub mod plate {
    use crate::PlateSaid;
    pub fn judge(_: &gear::Plate, _: Option<&str>) -> PlateSaid {
        PlateSaid::default()
    }
    pub fn read(text: &str) -> gear::Plate {
        gear::Plate {
            text: Some(text.to_owned()),
            ..gear::Plate::default()
        }
    }
    pub fn text(_: &PlateSaid) -> String {
        String::new()
    }
    pub fn completed(plate: &gear::Plate) -> gear::Plate {
        plate.clone()
    }
    pub fn summary(_: &gear::Plate) -> String {
        String::new()
    }
}

pub use judge::{Judge, volt_amperes, volts};
pub use said::{
    Behaviour, Caution, Contradiction, Danger, Deduction, Head, HowItWorks, Judgement, Kind,
    Learned, Live, LiveValue, PlateSaid, Point, ReadingSaid, Series, TravelPanel, Unlock, Verdict,
    WiringSaid,
};
pub use stage::Conditions;
