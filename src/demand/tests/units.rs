//! The same takeoff in inches and in millimetres gives the same pieces.

use super::run;
use crate::rules::Rules;
use crate::takeoff;
use proptest::prelude::*;

/// A length of whole 64ths of an inch, in inches and in millimetres: 1/64 in is 0.396875 mm.
fn both(sixty_fourths: u32) -> (String, String) {
    let (whole, rest) = (sixty_fourths / 64, sixty_fourths % 64);
    let inches = if rest == 0 { format!("{whole} in") } else { format!("{whole} {rest}/64 in") };
    let nm = u64::from(sixty_fourths) * 396_875;
    (inches, format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000))
}

/// Every kind with a length in it; `{}` are places for lengths.
fn takeoff_text(lengths: &[String; 8]) -> String {
    let [run, elbow, cone, centre, height, face, shell, disc] = lengths;
    format!(
        "item,kind,size,size2,length,quantity,build,class,type,radius,centre_to_end,branch_height,\
         face_to_face,bonnet,ends\n\
         P,pipe,NPS 6,,{run},2,10+10,,,,,,,,E|T\n\
         E,elbow,NPS 6,,,1,10+10,,,{elbow},,,,,\n\
         R,reducer,NPS 6,NPS 4,{cone},1,5+10,,,,,,,,\n\
         T,tee,NPS 6,NPS 3,,1,10+10,,,,{centre},{height},,,\n\
         V,valve,NPS 6,,,1,10+10,150,gate,,,,{face},none,\n\
         S,shell,OD {shell},,{run},1,10,,,,,,,,\n\
         H,head,OD {shell},,,1,10,,ellipsoidal,,,,,,\n\
         D,disc,OD {disc},,,1,10,,,,,,,,\n"
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn inches_and_millimetres_give_the_same_pieces(
        run_length in 40_u32 * 64..400 * 64,
        radius in 10_u32 * 64..20 * 64,
        cone in 3_u32 * 64..12 * 64,
        centre in 6_u32 * 64..12 * 64,
        height in 6_u32 * 64..12 * 64,
        face in 8_u32 * 64..20 * 64,
        shell in 40_u32 * 64..120 * 64,
        disc in 10_u32 * 64..100 * 64,
    ) {
        let pairs = [run_length, radius, cone, centre, height, face, shell, disc].map(both);
        let rules = Rules::default();
        let pieces = |text: String| {
            let (takeoff, findings) = takeoff::read("takeoff.csv", text.as_bytes(), &rules);
            let takeoff = takeoff.unwrap_or_else(|| panic!("{findings:?}\n{text}"));
            let (demand, findings) = run(takeoff.items, &super::stock(), &rules);
            demand.unwrap_or_else(|| panic!("{findings:?}"))
        };
        let inches = pieces(takeoff_text(&pairs.clone().map(|p| p.0)));
        let metric = pieces(takeoff_text(&pairs.map(|p| p.1)));
        prop_assert!(inches.pieces.len() > 20);
        prop_assert_eq!(inches, metric);
    }
}
