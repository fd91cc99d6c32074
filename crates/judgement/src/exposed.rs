//! What can stand on the find while a reading is taken: the class of a setup in words, with the order of the step and the limit to stop at.

use gear::Setup;
use hazard::{Class, Handling, Possible, exposure};
use quantity::{Decimal, Unit, show};

use crate::next::sentence;

/// The class of a setup, said before it is switched on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exposed {
    /// "dead", "low" or "live".
    pub class: &'static str,
    /// Why, in one sentence: the place and the value that decide it.
    pub why: String,
    /// The most that can stand anywhere on it, in words: "at most 45.5 V"; `None` where nothing is fed or nothing bounds it.
    pub most: Option<String>,
    /// Whether more may stand on it than may be touched: clips go on while dead, and hands stay off while it is on.
    pub hands_off: bool,
    /// The volts above which the class no longer holds, wherever they are read: "50 V". `None` where nothing is fed, and where it is live:
    /// no limit is known there.
    pub stop_above: Option<String>,
}

/// The class of a setup under everything still possible. Nothing possible known is live, whatever is fed.
pub(crate) fn exposed(
    find: &gear::Find,
    setup: &Setup,
    possible: &[Possible],
    decimal: Decimal,
) -> Exposed {
    let touched = exposure(setup, &find.kit, possible, Handling::Touched);
    let hands_off = touched.class > Class::Low;
    let held = if hands_off {
        exposure(setup, &find.kit, possible, Handling::ClippedDead)
    } else {
        touched
    };
    let most = held
        .highest
        .as_ref()
        .map(|highest| format!("at most {}", volts(highest.volts, decimal)));
    let limit = volts(held.limit, decimal);
    Exposed {
        class: held.class.word(),
        why: sentence(&held.why),
        most,
        hands_off,
        stop_above: (held.class == Class::Low).then_some(limit),
    }
}

fn volts(value: f64, decimal: Decimal) -> String {
    decimal.set(&show(value, Unit::Volt, 3))
}

#[cfg(test)]
mod tests {
    use crate::Judge;

    const CREAMERY: &str = include_str!("../../../examples/creamery.toml");

    fn of(more: &str, setup: u32) -> super::Exposed {
        let find = sheet::read(&format!("{CREAMERY}{more}")).unwrap_or_else(|p| panic!("{p:?}"));
        let judge = Judge::new(find);
        let setup = judge
            .find()
            .setups
            .iter()
            .find(|s| s.number == setup)
            .unwrap()
            .clone();
        judge.exposed(&setup)
    }

    fn fed(source: &str, isolated: &str, volts: &str) -> String {
        format!(
            "\n[[kit.source]]\nname = \"{source}\"\n{isolated}\n[[setup]]\nnumber = 5\n[[setup.feed]]\nsource = \"{source}\"\nto = [\"X1:1\", \"X1:N\"]\nvolts = \"{volts}\"\n"
        )
    }

    #[test]
    fn nothing_fed_is_dead() {
        let dead = of("", 1);
        assert_eq!((dead.class, dead.hands_off), ("dead", false));
        assert_eq!((dead.most, dead.stop_above), (None, None));
    }

    /// 25 V AC may be touched, 50 V AC if all is clipped on dead (IEC 60364-4-41, from memory).
    #[test]
    fn low_says_the_most_and_the_limit_and_whether_hands_stay_off() {
        for setup in [2, 3, 4] {
            let low = of("", setup);
            assert_eq!((low.class, low.hands_off), ("low", true), "setup {setup}");
            assert_eq!(low.stop_above.as_deref(), Some("50.0\u{a0}V"));
            let most = low.most.unwrap();
            let volts: f64 = most
                .trim_start_matches("at most ")
                .trim_end_matches("\u{a0}V")
                .parse()
                .unwrap();
            // 41.8 V between the lines that are fed is there for certain.
            assert!((41.8..=50.0).contains(&volts), "{most}");
        }
        let touched = of(&fed("bell", "isolated = true", "8 V"), 5);
        assert_eq!((touched.class, touched.hands_off), ("low", false));
        assert_eq!(touched.stop_above.as_deref(), Some("25.0\u{a0}V"));
    }

    #[test]
    fn what_is_not_marked_isolated_is_live_at_any_volts_and_has_no_limit() {
        for isolated in ["", "isolated = false"] {
            let live = of(&fed("wall", isolated, "8 V"), 5);
            assert_eq!((live.class, live.hands_off), ("live", true), "{isolated}");
            assert_eq!(live.stop_above, None);
        }
        let much = of(&fed("set", "isolated = true", "60 V"), 5);
        assert_eq!(much.class, "live");
    }
}
