//! Nominal pipe sizes as text and as sixty-fourths of an inch.

/// A nominal size such as `6`, `1-1/2`, `1 1/2`, `1.5`, `3/4` in sixty-fourths of an inch.
#[must_use]
pub fn nps_64ths(text: &str) -> Option<u32> {
    let text = text.trim();
    let whole = |part: &str| {
        (!part.is_empty() && part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse::<u32>().ok())
            .flatten()
    };
    let fraction = |part: &str| {
        let (top, bottom) = part.split_once('/')?;
        let (top, bottom) = (whole(top.trim())?, whole(bottom.trim())?);
        (bottom > 0 && top < bottom && (top * 64) % bottom == 0).then(|| top * 64 / bottom)
    };
    if let Some((inches, part)) = text.split_once(['-', ' ']) {
        return Some(whole(inches)? * 64 + fraction(part.trim_start_matches(['-', ' ']))?);
    }
    if let Some((inches, decimals)) = text.split_once('.') {
        let digits = whole(decimals)?;
        let scale = 10_u32.pow(u32::try_from(decimals.len()).ok()?);
        let part = (digits * 64).is_multiple_of(scale).then(|| digits * 64 / scale)?;
        return Some(whole(inches)? * 64 + part);
    }
    whole(text).map(|inches| inches * 64).or_else(|| fraction(text))
}

/// A nominal size as it is written: `6`, `1-1/2`, `3/4`.
#[must_use]
pub fn nps_text(sixty_fourths: u32) -> String {
    let (whole, rest) = (sixty_fourths / 64, sixty_fourths % 64);
    if rest == 0 {
        return whole.to_string();
    }
    let shift = rest.trailing_zeros();
    let (top, bottom) = (rest >> shift, 64 >> shift);
    if whole == 0 { format!("{top}/{bottom}") } else { format!("{whole}-{top}/{bottom}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_of_writing_is_read() {
        // An inch has 64 sixty-fourths.
        let cases =
            [("6", 384), ("1-1/2", 96), ("1 1/2", 96), ("1.5", 96), ("3/4", 48), ("2.50", 160)];
        for (text, sixty_fourths) in cases {
            assert_eq!(nps_64ths(text), Some(sixty_fourths), "{text}");
        }
        for text in ["", "x", "1/0", "1/3", "3/2", "1-", "-1", "1.3", "1-1", "99999", "1/2/3", "."]
        {
            assert_eq!(nps_64ths(text), None, "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn text_and_back(size in 1_u32..10_000) {
            proptest::prop_assert_eq!(nps_64ths(&nps_text(size)), Some(size));
        }

        #[test]
        fn no_text_stops_it(text in ".{0,12}") {
            let _ = nps_64ths(&text);
        }
    }
}
