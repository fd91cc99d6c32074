//! All that is said of one find, each statement with what it rests on.
//!
//! [`Judge::new`] takes a find and makes a [`Judgement`]: plain, serialisable data in sentences and figures, the one thing page,
//! report and command line show. [`Judge::live`] answers for a moved slider, another supply or load. Figures are rounded here,
//! once.

mod behaviour;
mod belief;
mod brief;
mod candidates;
pub mod cautions;
mod digits;
mod doubted;
mod exposed;
mod judge;
mod learned;
mod live;
mod next;
mod nominal;
mod phase;
pub mod plate;
mod ports;
mod readings;
mod repeat;
mod said;
mod setups;
mod stage;
mod stages;
mod tracing;
mod unlocks;
mod weighed;
pub mod works;

pub use brief::{Brief, Prior, Queried};
pub use exposed::Exposed;
pub use judge::{Judge, volt_amperes, volts};
pub use said::{
    Behaviour, CandidateSaid, CandidatesSaid, Caution, Contradiction, Danger, Deduction,
    ExpectedSaid, FedSaid, Head, HowItWorks, Judgement, Kind, Learned, Live, LiveValue, NewSetup,
    NextSaid, PlateSaid, Point, ProposalSaid, ReadingSaid, RepeatSaid, Series, TestSaid,
    TracedSaid, TravelPanel, Unlock, Verdict, WiringSaid,
};
pub use setups::setup_words;
pub use stage::{Conditions, Fed};
