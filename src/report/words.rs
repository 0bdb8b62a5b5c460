//! Items in words, for people.

use crate::takeoff::{Bare, Build, Item, Kind};
use crate::units::{Length, Measure};

/// Words that begin with a capital.
#[must_use]
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// What an item is, with the dimensions that decide its cover: `elbow NPS 12, 90 degrees`.
#[must_use]
pub fn thing(item: &Item, measure: Measure) -> String {
    let long = |length: Length| format!("{} {}", measure.words(length), measure.unit());
    match &item.kind {
        Kind::Pipe(pipe) => {
            let stands = if pipe.vertical { ", vertical" } else { "" };
            format!("pipe {}, {}{stands}", pipe.size.text, long(pipe.length))
        }
        Kind::Elbow(elbow) => format!(
            "elbow {}, {} degrees, radius {}",
            elbow.size.text,
            elbow.angle,
            long(elbow.radius)
        ),
        Kind::Tee(tee) => {
            format!("branch {} on {}, {} degrees", tee.branch.text, tee.run.text, tee.angle)
        }
        Kind::Reducer(reducer) => format!(
            "{} reducer {} to {}, {}",
            if reducer.eccentric { "eccentric" } else { "concentric" },
            reducer.large.text,
            reducer.small.text,
            long(reducer.length)
        ),
        Kind::Cap(cap) => format!("cap {}", cap.size.text),
        Kind::Flange(flange) => format!(
            "flange pair {}{}",
            flange.size.text,
            match flange.bare {
                Bare::Covered => "",
                Bare::Blind => " with a blind",
                Bare::Uninsulated => ", left bare, pipes stop short",
                Bare::Closed => ", left bare, pipe ends closed",
                Bare::Flush => ", left bare, pipes go up to it",
            }
        ),
        Kind::Valve(valve) => {
            format!("valve {}, {} face to face", valve.flange.size.text, long(valve.face_to_face))
        }
        Kind::Shell(shell) => {
            let stands = if shell.vertical { ", vertical" } else { "" };
            format!("shell of {}, {} long{stands}", long(shell.diameter), long(shell.length))
        }
        Kind::Head(head) => {
            format!("{} head of {}", head.form.word(), long(head.diameter))
        }
        Kind::Disc(disc) if disc.inside.is_positive() => {
            format!("ring of {} round {}", long(disc.outside), long(disc.inside))
        }
        Kind::Disc(disc) => format!("disc of {}", long(disc.outside)),
    }
}

/// A build in words: `5 + 10 + 10 mm`, from the inside out.
#[must_use]
pub fn build(build: &Build) -> String {
    let layers: Vec<String> = build.layers().iter().map(ToString::to_string).collect();
    format!("{} mm", layers.join(" + "))
}
