//! Items in words, for people.

use crate::takeoff::{Bare, Build, HeadForm, Item, Kind};

/// Words that begin with a capital.
#[must_use]
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// What an item is, with the dimensions that decide its cover: `elbow NPS 12, 90 degrees`.
#[must_use]
pub fn thing(item: &Item) -> String {
    match &item.kind {
        Kind::Pipe(pipe) => {
            let stands = if pipe.vertical { ", vertical" } else { "" };
            format!("pipe {}, {} mm{stands}", pipe.size.text, pipe.length)
        }
        Kind::Elbow(elbow) => format!(
            "elbow {}, {} degrees, radius {} mm",
            elbow.size.text, elbow.angle, elbow.radius
        ),
        Kind::Tee(tee) => {
            format!("branch {} on {}, {} degrees", tee.branch.text, tee.run.text, tee.angle)
        }
        Kind::Reducer(reducer) => format!(
            "{} reducer {} to {}, {} mm",
            if reducer.eccentric { "eccentric" } else { "concentric" },
            reducer.large.text,
            reducer.small.text,
            reducer.length
        ),
        Kind::Cap(cap) => format!("cap {}", cap.size.text),
        Kind::Flange(flange) => format!(
            "flange pair {}{}",
            flange.size.text,
            match flange.bare {
                Bare::Covered => "",
                Bare::Uninsulated => ", left bare, pipes stop short",
                Bare::Closed => ", left bare, pipe ends closed",
                Bare::Flush => ", left bare, pipes go up to it",
            }
        ),
        Kind::Valve(valve) => {
            format!("valve {}, {} mm face to face", valve.flange.size.text, valve.face_to_face)
        }
        Kind::Shell(shell) => {
            let stands = if shell.vertical { ", vertical" } else { "" };
            format!("shell of {} mm, {} mm long{stands}", shell.diameter, shell.length)
        }
        Kind::Head(head) => {
            let form = match head.form {
                HeadForm::Ellipsoidal => "ellipsoidal",
                HeadForm::Torispherical(..) => "torispherical",
                HeadForm::Hemispherical => "hemispherical",
                HeadForm::Flat => "flat",
            };
            format!("{form} head of {} mm", head.diameter)
        }
        Kind::Disc(disc) if disc.inside.is_positive() => {
            format!("ring of {} mm round {} mm", disc.outside, disc.inside)
        }
        Kind::Disc(disc) => format!("disc of {} mm", disc.outside),
    }
}

/// A build in words: `5 + 10 + 10 mm`, from the inside out.
#[must_use]
pub fn build(build: &Build) -> String {
    let layers: Vec<String> = build.layers().iter().map(ToString::to_string).collect();
    format!("{} mm", layers.join(" + "))
}
