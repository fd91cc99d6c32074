//! Reads the lines typed off a plate into fields, phases and marks; what is not understood is kept.

use super::labels::{self, Label, Side};
use gear::PlateField;
use quantity::{Quantity, Tolerance, Unit};

/// Longest text tried as one quantity: `input 320 V to 480 V +10 % −15 %` is shorter.
const LONGEST_QUANTITY: usize = 48;
/// A share this small behind a voltage says how closely the output is held, not how far the input may stray (common practice:
/// stabilizers hold 0.5 to 3 % and correct 5 to 50 %).
const MOST_ACCURACY: f64 = 0.03;
/// Above this a temperature on a plate is that of an insulation class, not of the room (IEC 60085 begins at 90 °C).
const MOST_AMBIENT: f64 = 65.0;
/// Two voltages this near to the ratio √3 are line and phase voltage of one system: `400/230 V` is 1.739.
const ROOT_THREE_BAND: f64 = 0.02;

/// What the lines of a plate gave.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Scanned {
    pub(super) fields: Vec<(PlateField, Quantity)>,
    pub(super) phases: Option<u8>,
    pub(super) marks: Vec<String>,
    pub(super) not_understood: Vec<String>,
    /// Unlabelled figures joined by a stroke: `400/230 V`; decided on when the whole plate is read.
    pairs: Vec<Vec<Quantity>>,
}

/// Reads the lines of a plate.
pub(super) fn scan(text: &str) -> Scanned {
    let mut scanned = Scanned::default();
    let mut side = Side::Unsaid;
    for line in text.lines() {
        let line = line
            .replace("VAC", "V AC")
            .replace("Vac", "V AC")
            .replace("VDC", "V DC")
            .replace("V~", "V ~")
            .replace("V∼", "V ~");
        let mut reader = Line {
            rest: &line,
            side,
            field: None,
            accuracy: false,
            figures: 0,
            scanned: &mut scanned,
        };
        reader.read();
        // a line that only names a side speaks for the next one
        side = if reader.figures == 0 {
            reader.side
        } else {
            Side::Unsaid
        };
    }
    scanned.settle_pairs();
    scanned
}

impl Scanned {
    fn settle_pairs(&mut self) {
        for pair in std::mem::take(&mut self.pairs) {
            let values: Vec<f64> = pair.iter().filter_map(Quantity::value).collect();
            let (Some(first), Some(last)) = (values.first(), values.get(1)) else {
                continue;
            };
            let root_three =
                ((first.max(*last) / first.min(*last)) / 3f64.sqrt() - 1.0).abs() < ROOT_THREE_BAND;
            let one_system = pair.len() == 2
                && root_three
                && self.phases != Some(1)
                && (self.phases == Some(3) || first < last);
            let volts = pair[0].unit() == Unit::Volt;
            if volts && one_system {
                let line = if first > last { &pair[0] } else { &pair[1] };
                self.fields.push((PlateField::Voltage, line.clone()));
                self.phases = Some(3);
                self.marks.push(format!(
                    "{} and {}: line and phase voltage",
                    pair[0].text(),
                    pair[1].text()
                ));
                continue;
            }
            let sides = if volts {
                [PlateField::InputVoltage, PlateField::OutputVoltage]
            } else {
                [PlateField::InputCurrent, PlateField::OutputCurrent]
            };
            for (i, quantity) in pair.into_iter().enumerate() {
                self.fields.push((sides[i.min(1)], quantity));
            }
        }
    }
}

struct Line<'a> {
    rest: &'a str,
    side: Side,
    field: Option<PlateField>,
    accuracy: bool,
    figures: usize,
    scanned: &'a mut Scanned,
}

impl Line<'_> {
    fn read(&mut self) {
        loop {
            self.rest = self
                .rest
                .trim_start_matches(|c: char| c.is_whitespace() || ",;:|=()\u{feff}".contains(c));
            if self.rest.is_empty() {
                return;
            }
            self.item();
        }
    }

    fn take(&mut self, length: usize) {
        self.rest = self.rest.get(length..).unwrap_or("");
    }

    fn item(&mut self) {
        if let Some((count, length)) = labels::phases(self.rest) {
            self.scanned.phases.get_or_insert(count);
            return self.take(length);
        }
        if let Some((mark, length)) = labels::mark(self.rest) {
            if labels::is_vector_group(&mark) {
                self.scanned.phases.get_or_insert(3);
            }
            self.scanned.marks.push(mark);
            return self.take(length);
        }
        if let Some((label, length)) = labels::label(self.rest) {
            return self.label(label, length);
        }
        if let Some((quantities, length)) = self.quantities() {
            self.figures += 1;
            self.take(length);
            return self.place(quantities);
        }
        let word = labels::first_word(self.rest).to_owned();
        let length = word
            .len()
            .max(self.rest.chars().next().map_or(1, char::len_utf8));
        if word == "DC" {
            self.scanned.marks.push(word);
        } else {
            self.scanned.not_understood.push(word);
        }
        self.take(length);
    }

    fn label(&mut self, label: Label, length: usize) {
        let words = self.rest.trim().to_owned();
        self.take(length);
        match label {
            Label::Side(side) => self.side = side,
            Label::Field(field) => self.field = Some(field),
            Label::Accuracy => self.accuracy = true,
            Label::RestOfLine => {
                self.scanned.marks.push(words);
                self.rest = "";
            }
            Label::Nothing => {}
        }
    }

    /// The longest text from here that is one quantity, or several joined by strokes; with its length.
    fn quantities(&self) -> Option<(Vec<Quantity>, usize)> {
        let wants_number = self.field == Some(PlateField::PowerFactor);
        let ends = self
            .rest
            .char_indices()
            .map(|(at, c)| (at, c.is_whitespace() || ",;|()".contains(c)));
        let mut ends: Vec<usize> = ends
            .filter(|(at, stop)| *stop && *at > 0 && *at <= LONGEST_QUANTITY)
            .map(|(at, _)| at)
            .collect();
        if self.rest.len() <= LONGEST_QUANTITY {
            ends.push(self.rest.len());
        }
        ends.into_iter().rev().find_map(|end| {
            let slice = &self.rest[..end];
            let one = Quantity::parse(slice)
                .ok()
                .filter(|q| q.unit() != Unit::One || wants_number)
                .map(|q| vec![q]);
            one.or_else(|| joined(slice))
                .map(|quantities| (quantities, end))
        })
    }

    fn place(&mut self, quantities: Vec<Quantity>) {
        let field = self.field.take();
        let accuracy = std::mem::take(&mut self.accuracy);
        let unit = quantities[0].unit();
        if quantities.len() > 1
            && self.side == Side::Unsaid
            && matches!(unit, Unit::Volt | Unit::Ampere)
        {
            return self.scanned.pairs.push(quantities);
        }
        for quantity in quantities {
            match field {
                Some(field) if field.unit() == quantity.unit() => self.push(field, quantity),
                Some(PlateField::Correction) | None => self.by_unit(quantity, accuracy),
                Some(field) => self.scanned.not_understood.push(format!(
                    "{} {} (write it in {})",
                    field.word(),
                    quantity.text().trim(),
                    field.unit().symbol()
                )),
            }
        }
    }

    fn by_unit(&mut self, quantity: Quantity, accuracy: bool) {
        let side = |plain, input, output| match self.side {
            Side::Unsaid => plain,
            Side::Input => input,
            Side::Output => output,
        };
        let field = match quantity.unit() {
            Unit::Volt => side(
                PlateField::Voltage,
                PlateField::InputVoltage,
                PlateField::OutputVoltage,
            ),
            Unit::Ampere => side(
                PlateField::Current,
                PlateField::InputCurrent,
                PlateField::OutputCurrent,
            ),
            Unit::VoltAmpere | Unit::Watt => PlateField::Power,
            Unit::Hertz => PlateField::Frequency,
            Unit::Kilogram => PlateField::Mass,
            Unit::DegreeCelsius if quantity.value().is_some_and(|t| t <= MOST_AMBIENT) => {
                PlateField::Ambient
            }
            Unit::Percent if quantity.text().trim_start().starts_with(['±', '+']) => {
                return self.share(quantity, accuracy);
            }
            Unit::Percent if accuracy => return self.held(quantity.text()),
            Unit::DegreeCelsius | Unit::Minute | Unit::Hour => {
                return self.scanned.marks.push(quantity.text().trim().to_owned());
            }
            _ => {
                return self
                    .scanned
                    .not_understood
                    .push(quantity.text().trim().to_owned());
            }
        };
        if quantity.unit() == Unit::Volt {
            self.tolerance(&quantity, accuracy);
        }
        self.push(field, quantity);
    }

    /// A share behind a voltage: a correction range, or how closely the output is held.
    fn tolerance(&mut self, quantity: &Quantity, accuracy: bool) {
        let Some(Tolerance::Relative { plus, minus }) = quantity.tolerance() else {
            return;
        };
        let shown = |share: f64| {
            quantity::significant(share * 100.0, 6)
                .trim_end_matches('0')
                .trim_end_matches('.')
                .to_owned()
        };
        let text = if plus == minus {
            format!("±{} %", shown(plus))
        } else {
            format!("+{} % −{} %", shown(plus), shown(minus))
        };
        if accuracy || self.side == Side::Output || plus.max(minus) <= MOST_ACCURACY {
            return self.held(&text);
        }
        if let Ok(correction) = Quantity::parse(&text) {
            self.push(PlateField::Correction, correction);
        }
    }

    fn share(&mut self, quantity: Quantity, accuracy: bool) {
        let size = quantity.value().map_or(0.0, f64::abs);
        if accuracy
            || (self.side == Side::Output && size > 0.0)
            || (size > 0.0 && size <= MOST_ACCURACY)
        {
            return self.held(quantity.text());
        }
        self.push(PlateField::Correction, quantity);
    }

    fn held(&mut self, share: &str) {
        self.scanned
            .marks
            .push(format!("output held to {}", share.trim()));
    }

    fn push(&mut self, field: PlateField, quantity: Quantity) {
        self.scanned.fields.push((field, quantity));
    }
}

/// `400/230 V`, `50/60 Hz`, `2.6/26 A`: figures joined by strokes, the unit at the last.
fn joined(slice: &str) -> Option<Vec<Quantity>> {
    if !slice.contains('/') || slice.contains(['+', '±']) {
        return None;
    }
    let pieces: Vec<&str> = slice.split('/').map(str::trim).collect();
    let last = Quantity::parse(pieces.last()?).ok()?;
    if !matches!(
        last.unit(),
        Unit::Volt | Unit::Ampere | Unit::Hertz | Unit::VoltAmpere
    ) {
        return None;
    }
    let letters = last
        .text()
        .trim_start_matches(|c: char| c.is_ascii_digit() || c.is_whitespace() || "?.,".contains(c));
    pieces
        .iter()
        .map(|piece| {
            let own = Quantity::parse(piece).ok()?;
            if own.unit() == Unit::One {
                Quantity::parse(&format!("{piece} {letters}")).ok()
            } else {
                (own.unit() == last.unit()).then_some(own)
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(text: &str) -> Vec<(&'static str, String)> {
        scan(text)
            .fields
            .iter()
            .map(|(field, quantity)| (field.word(), quantity.text().to_owned()))
            .collect()
    }

    #[test]
    fn one_line_as_typed() {
        let scanned = scan("30 kVA 400 V ±20 % 50 Hz");
        assert_eq!(
            fields("30 kVA 400 V ±20 % 50 Hz"),
            [
                ("power", "30 kVA".into()),
                ("correction", "±20 %".into()),
                ("voltage", "400 V ±20 %".into()),
                ("frequency", "50 Hz".into())
            ]
        );
        assert_eq!((scanned.phases, scanned.not_understood), (None, vec![]));
    }

    #[test]
    fn sides_and_labels() {
        assert_eq!(
            fields("INPUT 320-480 V 3~\nOUTPUT 400V ±1 % 43.3A"),
            [
                ("input voltage", "320-480 V".into()),
                ("output voltage", "400V ±1 %".into()),
                ("output current", "43.3A".into())
            ]
        );
        assert_eq!(
            fields("PRI 400 V SEC 24 V"),
            [
                ("input voltage", "400 V".into()),
                ("output voltage", "24 V".into())
            ]
        );
        assert_eq!(fields("INPUT\n230 V"), [("input voltage", "230 V".into())]);
        assert_eq!(
            fields("cos φ 0.8, uk 4 %; I0 0.4 A P0 12 W Pk 40 W ta 40 °C 11 kg"),
            [
                ("power factor", "0.8".into()),
                ("impedance", "4 %".into()),
                ("no-load current", "0.4 A".into()),
                ("no-load loss", "12 W".into()),
                ("load loss", "40 W".into()),
                ("ambient", "40 °C".into()),
                ("mass", "11 kg".into())
            ]
        );
        assert_eq!(fields("4? A"), [("current", "4? A".into())]);
    }

    #[test]
    fn strokes() {
        assert_eq!(
            fields("50/60 Hz"),
            [("frequency", "50 Hz".into()), ("frequency", "60 Hz".into())]
        );
        assert_eq!(
            fields("400/24 V"),
            [
                ("input voltage", "400 V".into()),
                ("output voltage", "24 V".into())
            ]
        );
        let system = scan("230/400 V");
        assert_eq!(
            (
                system.phases,
                system.fields.len(),
                system.fields[0].1.text()
            ),
            (Some(3), 1, "400 V")
        );
        assert_eq!(fields("1~ 400/230 V").len(), 2);
        assert_eq!(fields("PRI 230/400 V").len(), 2);
    }

    #[test]
    fn nothing_is_dropped() {
        let scanned =
            scan("30 kVA Dyn11 IP20 class B IEC 60076-1 130 °C\nTYPE KX 400 V\nfoo 17 blah uk 3 A");
        assert_eq!(scanned.phases, Some(3));
        assert_eq!(
            scanned.marks,
            [
                "Dyn11",
                "IP20",
                "class B",
                "IEC 60076-1",
                "130 °C",
                "TYPE KX 400 V"
            ]
        );
        assert_eq!(
            scanned.not_understood,
            ["foo", "17", "blah", "impedance 3 A (write it in %)"]
        );
    }
}
