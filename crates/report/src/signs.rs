//! Signs on a page: the symbols once, and a verdict as its sign with its word.

use crate::words::verdict_word;
use drawing::signs::{Sign, hidden};
use judgement::{Danger, Verdict};
use maud::{Markup, PreEscaped, html};

/// The symbols every fragment uses by name; once, at the top of a page's body.
pub fn signs() -> Markup {
    PreEscaped(hidden(&Sign::ALL))
}

/// The sign of a verdict; what was not judged and what was struck have none.
pub(crate) fn sign_of(verdict: Verdict) -> Option<Sign> {
    match verdict {
        Verdict::Agrees => Some(Sign::Agrees),
        Verdict::Doubtful => Some(Sign::Doubtful),
        Verdict::Contradicts => Some(Sign::Contradicts),
        Verdict::Floating => Some(Sign::Floating),
        Verdict::NotJudged | Verdict::Struck => None,
    }
}

/// The triangle of a danger: with a bolt where it comes from electricity.
pub(crate) fn triangle_of(danger: Danger) -> Sign {
    match danger {
        Danger::OldMaterials | Danger::Heavy | Danger::UnexpectedStart => Sign::Danger,
        _ => Sign::Live,
    }
}

/// A sign in a line of text; its word stands beside it, so it is silent.
pub(crate) fn sign(sign: Sign) -> Markup {
    html! { svg class="sign" aria-hidden="true" { use href={ "#" (sign.id()) } {} } }
}

/// A verdict: sign and word.
pub fn verdict(verdict: Verdict) -> Markup {
    with_sign(verdict, verdict_word(verdict))
}

/// How many readings have a verdict: sign, count and word, "3 contradict".
pub fn verdict_counted(verdict: Verdict, count: usize) -> Markup {
    let word = match verdict {
        Verdict::Agrees if count != 1 => "agree",
        Verdict::Contradicts if count != 1 => "contradict",
        verdict => verdict_word(verdict),
    };
    with_sign(verdict, &format!("{count} {word}"))
}

fn with_sign(verdict: Verdict, words: &str) -> Markup {
    match sign_of(verdict) {
        Some(of) => html! { span class="verdict" { (sign(of)) (words) } },
        None => html! { span class="quiet" { (words) } },
    }
}
