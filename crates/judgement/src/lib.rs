//! All that is said of one find, each statement with what it rests on.
//!
//! `Judge::new` takes a find and makes a [`Judgement`]: plain, serialisable data in sentences and figures, the one thing page,
//! report and command line show. `Judge::at` answers for a moved slider, another supply or load. Figures are rounded here, once.

mod said;

pub use said::{
    Behaviour, Caution, Contradiction, Danger, Deduction, Head, HowItWorks, Judgement, Kind, Learned, Live, LiveValue, PlateSaid, Point, ReadingSaid,
    Series, TravelPanel, Unlock, Verdict, WiringSaid,
};
