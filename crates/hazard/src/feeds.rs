//! What feeds a setup: whether the kit marks it isolated, how many volts it can give, direct or alternating.

use gear::{Feed, Kit, KitSource, Setup};
use quantity::{Quantity, Reach};

/// Frequencies the bounds are meant for, hertz: mains and what stands in for it.
const FREQUENCIES: std::ops::RangeInclusive<f64> = 40.0..=70.0;

/// What feeds a setup, after the kit has been asked.
#[derive(Debug, Clone)]
pub(crate) struct Supply {
    /// Greatest volts of each feed: between its terminals, line to line for three phases.
    pub(crate) volts: Vec<f64>,
    pub(crate) direct: bool,
}

/// The source of the kit a feed names.
pub(crate) fn source<'a>(kit: &'a Kit, feed: &Feed) -> Option<&'a KitSource> {
    let name = feed.source.as_ref()?;
    kit.sources.iter().find(|s| s.name == *name)
}

/// Whether a source is a variable autotransformer by its name, with nothing said of an isolating transformer behind it.
fn is_autotransformer(source: &KitSource) -> bool {
    let name = source.name.to_lowercase();
    name.contains("autotransformer") && !name.contains("isolat")
}

/// The source, where it can serve a low setup.
/// # Errors
/// In words: why it cannot.
pub(crate) fn isolated(source: &KitSource) -> Result<(), String> {
    if is_autotransformer(source) {
        return Err(format!(
            "`{}` is a mains source at every setting: an autotransformer isolates nothing",
            source.name
        ));
    }
    match source.isolated {
        Some(true) => Ok(()),
        Some(false) => Err(format!(
            "`{}` is not isolated from the mains: whatever the knob says, every terminal may stand at mains volts",
            source.name
        )),
        None => Err(format!(
            "nothing says that `{}` is isolated from the mains; write `isolated = true` only if a legible mark does",
            source.name
        )),
    }
}

/// Greatest volts a quantity allows.
pub(crate) fn greatest(quantity: &Quantity) -> Option<f64> {
    let volts = match quantity.reach() {
        Reach::Value { value, .. } => value,
        Reach::Span { high, .. } | Reach::Illegible { high, .. } => high,
        Reach::AtMost(limit) => limit,
        Reach::AtLeast(_) | Reach::OverRange => return None,
    };
    volts.is_finite().then_some(volts.abs())
}

/// What feeds a setup.
/// # Errors
/// In words: why the setup is live whatever its volts.
pub(crate) fn supply(setup: &Setup, kit: &Kit) -> Result<Supply, String> {
    let mut volts = Vec::new();
    let mut kinds = Vec::new();
    for feed in &setup.feeds {
        let Some(name) = &feed.source else {
            return Err("the setup does not say which source of the kit feeds it".to_owned());
        };
        let source =
            source(kit, feed).ok_or_else(|| format!("the kit has no source named `{name}`"))?;
        isolated(source)?;
        kinds.push(source.direct);
        let hertz = feed.frequency.as_ref().and_then(Quantity::value);
        if hertz.is_some_and(|f| !source.direct && !FREQUENCIES.contains(&f)) {
            return Err(
                "its frequency is not between 40 and 70 Hz; the bounds are not meant for it"
                    .to_owned(),
            );
        }
        let quantity = feed.volts.as_ref().or(source.volts.as_ref());
        let most = quantity.and_then(greatest).ok_or_else(|| {
            format!("neither the setup nor the kit says how many volts `{name}` gives at most")
        })?;
        volts.push(most);
    }
    if kinds.windows(2).any(|pair| pair[0] != pair[1]) {
        return Err("direct and alternating current feed it at once".to_owned());
    }
    Ok(Supply {
        volts,
        direct: kinds.first().copied().unwrap_or(false),
    })
}
