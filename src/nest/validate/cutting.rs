//! How rolls may be cut.

use super::fields::{Door, Known, Object, STYLES};
use super::value::{Range, Told};
use crate::cutting::{Cutting, Style};
use crate::finding::codes::nest as codes;
use crate::nest::record::Kind;
use crate::units::Length;

const KEYS: Known = Known {
    read: &["style", "stages", "pull_limit", "square_cut", "edge_trim", "gap"],
    passed: &["note", "comment"],
};

impl Door<'_> {
    /// How rolls may be cut. Only the style has no default.
    pub(super) fn cutting(&mut self, all: &mut Object<'_>) -> Option<Cutting> {
        let spot = self.need(all, "cutting")?;
        let mut cutting = self.object(spot, all.key("cutting."), &KEYS)?;
        let style = self.style(&mut cutting);
        let stages = self.stages(&mut cutting, style);
        let pull_limit = self.length_or(&mut cutting, "pull_limit", None, Range::Positive);
        let mut or_zero = |key: &str| {
            let zero = Some(Length::ZERO);
            self.length_or(&mut cutting, key, zero, Range::NotNegative).ok().flatten()
        };
        let square_cut = or_zero("square_cut");
        let edge_trim = or_zero("edge_trim");
        let gap = or_zero("gap");
        Some(Cutting {
            style: style?,
            stages: stages.ok()?,
            pull_limit: pull_limit.ok()?,
            square_cut: square_cut?,
            edge_trim: edge_trim?,
            gap: gap?,
        })
    }

    fn style(&mut self, cutting: &mut Object<'_>) -> Option<Style> {
        let (spot, text) = self.text_at(cutting, "style")?;
        match text.as_str() {
            "straight" => Some(Style::Straight),
            "free" => Some(Style::Free),
            other => {
                let what = format!("`{other}` is no cutting style");
                let key = cutting.key("style");
                self.add(&codes::STYLE, spot, &key, what, format!("write {STYLES}"));
                None
            }
        }
    }

    fn stages(
        &mut self,
        cutting: &mut Object<'_>,
        style: Option<Style>,
    ) -> Result<Option<u8>, Told> {
        let Some(spot) = cutting.take("stages").filter(|s| s.kind() != Kind::Null) else {
            return Ok(None);
        };
        let key = cutting.key("stages");
        if style == Some(Style::Free) {
            let what = "stages are given for free cutting";
            self.add(&codes::STAGES_UNUSED, spot, &key, what, "write null, or style straight");
            return Ok(None);
        }
        match spot.text() {
            "2" => Ok(Some(2)),
            "3" => Ok(Some(3)),
            other => {
                let what = format!("{other} is no number of stages that is known here");
                self.add(&codes::STAGES, spot, &key, what, "write 2, 3 or null");
                Err(Told)
            }
        }
    }
}
