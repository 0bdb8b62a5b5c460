//! What throat, heel and alternating seams of elbow gores would each save: table and words.

use super::outlook::{rolls_in_words, standing};
use super::proof::counted;
use super::table::{Cell, Table, square_metres};
use crate::compare::{Place, Seams};
use crate::units::Area;

/// The places side by side.
#[must_use]
pub fn table(seams: &Seams) -> Table {
    let mut table = Table::new(&[
        "seam",
        "rules",
        "rolls",
        "which",
        "offcuts",
        "pieces",
        "value",
        "bound",
        "proof",
        "cut m2",
        "between m2",
        "saves m2",
    ]);
    let own = seams.own().map(|own| own.cut);
    for place in &seams.places {
        table.push(vec![
            Cell::text(place.seam),
            Cell::text(if place.chosen { "these" } else { "" }),
            Cell::Count(place.count()),
            Cell::Text(rolls_in_words(&place.rolls)),
            Cell::Count(place.offcuts),
            Cell::Count(place.pieces),
            Cell::Number(place.value.to_string()),
            Cell::Number(place.bound.to_string()),
            Cell::Text(standing(place.status, place.value, place.bound)),
            Cell::SquareMetres(place.cut),
            Cell::SquareMetres(place.between),
            own.map_or(Cell::Empty, |own| Cell::SquareMetres(own - place.cut)),
        ]);
    }
    table
}

/// The places as data: their figures, areas in square millimetres, and what the table says beside them.
#[must_use]
pub fn json(seams: &Seams) -> serde_json::Value {
    let own = seams.own().map(|own| own.cut);
    let one = |place: &Place| {
        let by_thickness = place.rolls.iter().map(
            |(thickness, rolls)| serde_json::json!({ "thickness": thickness, "rolls": rolls }),
        );
        let mut value = serde_json::json!(place);
        value["rolls"] = by_thickness.collect();
        value["proof"] = standing(place.status, place.value, place.bound).into();
        value["saves"] = serde_json::json!(own.map(|own| own - place.cut));
        value
    };
    seams.places.iter().map(one).collect()
}

/// What each place saves, in sentences.
#[must_use]
pub fn in_words(seams: &Seams) -> Vec<String> {
    let Some(own) = seams.own() else { return Vec::new() };
    if !seams.differ {
        return vec![
            "No elbow of this job is cut in gores, so the place of their seams changes nothing."
                .to_owned(),
        ];
    }
    let others = seams.places.iter().filter(|place| !place.chosen);
    let mut words: Vec<String> = others.map(|place| against(place, own)).collect();
    words.push(
        "Each was nested and audited as the plan is, all else as specified. Nests end where rolls are \
         proven, so on as many rolls a little more or less blanket says little. elbow.seam in the \
         rules is what the job uses, and the insulation specification says what it may be."
            .to_owned(),
    );
    words
}

/// `Seams at the heel instead of the throat would save 3.2 m2 of blanket and one roll.`
fn against(place: &Place, own: &Place) -> String {
    let words = |seam| match seam {
        "throat" => "at the throat",
        "heel" => "at the heel",
        _ => "at throat and heel in turn",
    };
    let blanket = match own.cut - place.cut {
        Area::ZERO => "take as much blanket".to_owned(),
        less if less > Area::ZERO => format!("save {} m² of blanket", square_metres(less, 2)),
        less => format!("take {} m² of blanket more", square_metres(Area::ZERO - less, 2)),
    };
    let (here, there) = (own.count(), place.count());
    let rolls = match there.cmp(&here) {
        std::cmp::Ordering::Equal => "as many rolls".to_owned(),
        std::cmp::Ordering::Less => {
            format!("{} less", counted(here - there, "roll", "rolls"))
        }
        std::cmp::Ordering::Greater => {
            format!("{} more", counted(there - here, "roll", "rolls"))
        }
    };
    format!(
        "Seams {} instead of {} would {blanket}, on {rolls}.",
        words(place.seam),
        words(own.seam)
    )
}
