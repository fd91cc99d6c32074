//! The worked examples judged: what their scenarios were made to show must come out.
#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its example fails"
)]

use judgement::{Conditions, Fed, Judge, Judgement, Verdict};

fn judge(name: &str) -> Judge {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    let find = sheet::read(&text).unwrap_or_else(|problems| {
        panic!(
            "{path}: {}",
            problems
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("\n")
        )
    });
    Judge::new(find)
}

fn with_verdict(judgement: &Judgement, verdict: Verdict) -> Vec<u32> {
    judgement
        .readings
        .iter()
        .filter(|r| r.verdict == verdict)
        .map(|r| r.number)
        .collect()
}

#[test]
fn the_creamery_has_exactly_its_slipped_reading_against_it() {
    let judge = judge("creamery");
    let said = judge.judgement();
    assert_eq!(with_verdict(said, Verdict::Contradicts), [24]);
    assert_eq!(with_verdict(said, Verdict::Doubtful), [0u32; 0]);
    assert_eq!(with_verdict(said, Verdict::Floating), [32]);
    assert_eq!(with_verdict(said, Verdict::Struck), [27]);
    let slipped = said.readings.iter().find(|r| r.number == 24).unwrap();
    assert_eq!(slipped.kinds[0].words, "the decimal point slipped");
    assert!(slipped.kinds[0].probability > 0.9);
    assert_eq!(slipped.remark, "decimal point?");
    let argument = slipped.argument.as_deref().unwrap();
    let digits = "a 6000-count meter on its 60 V range shows 21.20, not 21.2 V";
    assert!(argument.contains(digits), "{argument}");
    let other = "On its 600 V range it shows 21.2 V: was that range held by hand?";
    assert!(argument.contains(other), "{argument}");
    assert!(said.find.trouble);
    assert!(said.wiring.faults.is_empty(), "{:?}", said.wiring.faults);
}

#[test]
fn the_creamery_explains_itself_in_six_to_ten_sentences() {
    let judge = judge("creamery");
    let sentences = &judge.judgement().how_it_works.sentences;
    assert!((6..=10).contains(&sentences.len()), "{sentences:#?}");
    assert!(
        sentences.iter().any(|s| s.contains("0.20 above the tap")),
        "{sentences:#?}"
    );
}

#[test]
fn the_travel_charts_follow_the_textbook_sum() {
    // Autotransformer on the output side: V_out = V_in / (1 - (x - c)/n), n = 2.5, c = 0.5, no load (derived from the turns alone).
    let judge = judge("creamery");
    let conditions = Conditions {
        fed: Fed::ByPlate,
        slider: 0.7,
        supply: 400.0,
        load: 0.0,
    };
    let behaviour = judge.behaviour(conditions).unwrap();
    let output = &behaviour.panels[0].series[0];
    for (x, value) in behaviour.slider.iter().zip(&output.values) {
        let expected = 400.0 / 3f64.sqrt() / (1.0 - (x - 0.5) / 2.5);
        let value = value.unwrap();
        assert!(
            (value / expected - 1.0).abs() < 0.02,
            "at {x}: {value}, by the turns {expected}"
        );
    }
}

#[test]
fn live_predictions_at_the_setups_own_conditions_are_the_judged_ones() {
    let judge = judge("creamery");
    let live = judge.live(judge.drawn_conditions().unwrap()).unwrap();
    for reading in judge
        .judgement()
        .readings
        .iter()
        .filter(|r| r.setup == 4 && r.verdict == Verdict::Agrees && r.unit == "V")
    {
        let first = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
        let (_, text) = live
            .readings
            .iter()
            .find(|(n, _)| *n == reading.number)
            .unwrap();
        let (now, judged) = (
            first(text.as_ref().unwrap()),
            first(reading.predicted.as_ref().unwrap()),
        );
        assert!(
            (now / judged - 1.0).abs() < 0.01,
            "reading {}: {now} live, {judged} judged",
            reading.number
        );
    }
}

#[test]
fn every_example_is_judged_without_fault() {
    for name in [
        "creamery",
        "plate-alone",
        "two-winding",
        "control-60hz",
        "lone-autotransformer",
    ] {
        let judge = judge(name);
        let said = judge.judgement();
        assert!(
            said.wiring.faults.is_empty(),
            "{name}: {:?}",
            said.wiring.faults
        );
        let not_judged: Vec<_> = said
            .readings
            .iter()
            .filter(|r| r.verdict == Verdict::NotJudged)
            .map(|r| (r.number, r.remark.clone()))
            .collect();
        assert!(not_judged.is_empty(), "{name}: {not_judged:?}");
        if name != "creamery" {
            assert_eq!(
                with_verdict(said, Verdict::Contradicts),
                [0u32; 0],
                "{name}"
            );
        }
    }
}
