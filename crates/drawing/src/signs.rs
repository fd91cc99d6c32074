//! The signs: verdicts in ink, dangers in the caution's yellow. Each is drawn once, as a symbol, and used by name.
//!
//! A page brings [`hidden`] once; a drawing that is a file of its own carries [`definitions`]. Signs differ in outline, so that no
//! verdict hangs on colour, and always have their word beside them. Manner of the triangle: ISO 7010 (W001, W012), redrawn.

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sign {
    /// Disc, outlined, pale.
    Agrees,
    /// Diamond, half inked.
    Doubtful,
    /// Saltire, solid.
    Contradicts,
    /// Dashed ring, no fill.
    Floating,
    /// Triangle with a bolt: a danger that comes from electricity.
    Live,
    /// Triangle with a stroke and a dot: any other danger.
    Danger,
}

impl Sign {
    /// Every sign.
    pub const ALL: [Self; 6] = [
        Self::Agrees,
        Self::Doubtful,
        Self::Contradicts,
        Self::Floating,
        Self::Live,
        Self::Danger,
    ];

    /// Name of the symbol, for `<use href="#...">`.
    pub fn id(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Doubtful => "doubtful",
            Self::Contradicts => "contradicts",
            Self::Floating => "floating",
            Self::Live => "live",
            Self::Danger => "danger",
        }
    }

    /// The `<symbol>` element.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Agrees => {
                r#"<symbol id="agrees" viewBox="0 0 24 24"><circle class="s-agrees s-line" cx="12" cy="12" r="10.5"/></symbol>"#
            }
            Self::Doubtful => {
                r#"<symbol id="doubtful" viewBox="0 0 24 24"><path class="s-doubtful s-line" d="M12 .5 23.5 12 12 23.5 .5 12Z"/><path class="s-ink" d="M12 .5 23.5 12 12 23.5Z"/></symbol>"#
            }
            Self::Contradicts => {
                r#"<symbol id="contradicts" viewBox="0 0 24 24"><path class="s-ink s-line" d="M5.5 1 12 7.5 18.5 1 23 5.5 16.5 12 23 18.5 18.5 23 12 16.5 5.5 23 1 18.5 7.5 12 1 5.5Z"/></symbol>"#
            }
            Self::Floating => {
                r#"<symbol id="floating" viewBox="0 0 24 24"><circle cx="12" cy="12" r="10" fill="none" stroke="var(--ink)" stroke-width="2.5" stroke-dasharray="5.2 5.27"/></symbol>"#
            }
            Self::Live => {
                r##"<symbol id="live" viewBox="0 0 30 27"><path d="M15 1.5 28.8 25.5H1.2Z" fill="var(--caution)" stroke="var(--ink)" stroke-width="2" stroke-linejoin="round"/><path d="M16.8 7.5 11.6 16.3H15.2L13.4 23 19.2 14H15.4Z" fill="var(--on-caution, #14181B)"/></symbol>"##
            }
            Self::Danger => {
                r##"<symbol id="danger" viewBox="0 0 30 27"><path d="M15 1.5 28.8 25.5H1.2Z" fill="var(--caution)" stroke="var(--ink)" stroke-width="2" stroke-linejoin="round"/><path d="M13.4 9H16.6L16 17.5H14ZM13.5 19.5H16.5V22.5H13.5Z" fill="var(--on-caution, #14181B)"/></symbol>"##
            }
        }
    }
}

/// The symbols of these signs, for the inside of an `<svg>` element.
pub fn definitions(signs: &[Sign]) -> String {
    signs.iter().map(|sign| sign.symbol()).collect()
}

/// The symbols of these signs in an element that takes no room, for the top of a page's body.
pub fn hidden(signs: &[Sign]) -> String {
    format!(
        "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\">{}</svg>",
        definitions(signs)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_has_its_own_outline_and_name() {
        for (index, sign) in Sign::ALL.iter().enumerate() {
            assert!(
                sign.symbol()
                    .starts_with(&format!("<symbol id=\"{}\"", sign.id()))
            );
            for other in &Sign::ALL[index + 1..] {
                assert_ne!(sign.id(), other.id());
            }
        }
        assert_eq!(hidden(&Sign::ALL).matches("<symbol").count(), 6);
    }
}
