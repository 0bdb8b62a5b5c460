//! Tests of the door: every kind read whole, every mistake told.

use super::*;
use crate::finding::codes::takeoff as codes;
use crate::rules::{Lengths, Rules};
use crate::standards::Diameters;
use crate::stock::{Stock, read_rolls};
use crate::units::{Angle, Length};
use std::collections::BTreeSet;

/// Reads a takeoff from its headings and lines.
fn takeoff(text: &str) -> (Option<Takeoff>, Vec<String>) {
    with(text, &Rules::default())
}

fn with(text: &str, rules: &Rules) -> (Option<Takeoff>, Vec<String>) {
    let (takeoff, findings) = read("takeoff.csv", text.as_bytes(), rules);
    assert_eq!(takeoff.is_none(), findings.has_errors());
    (takeoff, findings.iter().map(ToString::to_string).collect())
}

/// Codes of the findings of a takeoff.
fn ids(text: &str) -> Vec<&'static str> {
    read("takeoff.csv", text.as_bytes(), &Rules::default()).1.iter().map(|f| f.code.id).collect()
}

/// The kind of a takeoff's first item, which must be without errors.
fn kind(text: &str) -> Kind {
    let (takeoff, found) = takeoff(text);
    takeoff.unwrap_or_else(|| panic!("{found:#?}")).items.remove(0).kind
}

const PLAIN: &str = "item,kind,size,length,quantity,build\n";
const NM: i64 = 1_000_000;

fn tenths(tenths: i64) -> Length {
    Length::from_nm(tenths * 100_000)
}

#[test]
fn a_pipe_is_read_whole() {
    let text = "Item,Area,Line,KIND,Size,Length,Quantity,Build,release,note,orientation\r\n\
                P-1,A,L-1,Pipe,NPS 6,\"7'-6 1/2\"\"\",3,5+10+10,2,by the stairs,vertical\r\n";
    let (takeoff, found) = takeoff(text);
    assert_eq!(found, Vec::<String>::new());
    let item = &takeoff.unwrap().items[0];
    assert_eq!((item.id.as_str(), item.area.as_str(), item.line.as_str()), ("P-1", "A", "L-1"));
    assert_eq!((item.quantity, item.release, item.note.as_str()), (3, 2, "by the stairs"));
    assert_eq!(item.build.layers(), [5, 10, 10].map(Length::from_mm));
    assert_eq!(item.place.to_string(), "takeoff.csv:2");
    let Kind::Pipe(pipe) = &item.kind else { panic!("{item:?}") };
    // ASME B36.10M: NPS 6 is 168.3 mm; 7 ft 6 1/2 in = 90.5 x 25.4 mm.
    assert_eq!(pipe.size.od, tenths(1683));
    assert_eq!(pipe.length, Length::from_nm(2_298_700_000));
    assert!(pipe.vertical && pipe.measure == Measure::Net && pipe.ends.is_empty());
}

/// A title over part of the list, merged across it, is one thing that is wrong, told once.
#[test]
fn a_merged_title_in_a_workbook_is_told_once() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    let plain = rust_xlsxwriter::Format::new();
    let lines = [
        ["item", "kind", "size", "length", "quantity", "build"],
        ["P-1", "pipe", "NPS 6", "3 m", "1", "10"],
        ["", "", "", "", "", ""],
        ["P-2", "pipe", "NPS 6", "3 m", "1", "10"],
        ["P-3", "pipe", "NPS 6", "", "1", "10"],
    ];
    for (row, line) in (0_u32..).zip(lines) {
        for (column, cell) in (0_u16..).zip(line).filter(|(_, cell)| !cell.is_empty()) {
            sheet.write(row, column, cell).unwrap();
        }
    }
    sheet.merge_range(2, 0, 2, 5, "Unit 200", &plain).unwrap();
    // One that stands in an entry is told as ever.
    sheet.merge_range(4, 2, 4, 3, "NPS 6", &plain).unwrap();
    let bytes = book.save_to_buffer().unwrap();
    let (_, findings) = read("takeoff.xlsx", &bytes, &Rules::default());
    let told: Vec<_> = findings.iter().map(|f| (f.code.id, f.place.line)).collect();
    assert_eq!(told, [("F022", Some(5)), ("F060", Some(3))], "{findings:?}");
}

#[test]
fn elbows_have_their_radius_from_the_tables() {
    let elbow = |cells: &str| {
        let text = format!("item,kind,size,length,quantity,build,angle,radius\nE,elbow,{cells}\n");
        match kind(&text) {
            Kind::Elbow(elbow) => (elbow.angle, elbow.radius),
            other => panic!("{other:?}"),
        }
    };
    // ASME B16.9: long radius 1.5 x 6 x 25.4 = 228.6 mm, short radius 152.4 mm; NPS 3/4 is made
    // to 38.1 mm.
    assert_eq!(elbow("NPS 6,,1,10,,"), (Angle::QUARTER, tenths(2286)));
    assert_eq!(elbow("DN 150,,1,10,45,Long"), (Angle::from_degrees(45), tenths(2286)));
    assert_eq!(elbow("OD 168.3,,1,10,180,short"), (Angle::from_degrees(180), tenths(1524)));
    assert_eq!(elbow("NPS 3/4,,1,10,22.5 deg,long").1, tenths(381));
    assert_eq!(elbow("OD 170,,1,10,90,850").1, Length::from_mm(850));
}

#[test]
fn fittings_have_their_dimensions_from_the_tables() {
    let head = "item,kind,size,size2,length,quantity,build,type\n";
    // ASME B16.9: equal tee NPS 6, C = M = 143; reducing tee 6 x 3, M = 124; reducer 6 x 4,
    // H = 140; cap NPS 6, E = 89 mm.
    let Kind::Tee(tee) = kind(&format!("{head}T,tee,NPS 6,,,1,10,\n")) else { panic!() };
    assert_eq!((tee.centre_to_end, tee.branch_height), (tenths(1430), tenths(1430)));
    assert_eq!((tee.run.od, tee.branch.od, tee.angle), (tee.branch.od, tee.run.od, Angle::QUARTER));
    let Kind::Tee(tee) = kind(&format!("{head}T,tee,NPS 6,NPS 3,,1,10,\n")) else { panic!() };
    assert_eq!((tee.centre_to_end, tee.branch_height), (tenths(1430), tenths(1240)));
    let Kind::Reducer(r) = kind(&format!("{head}R,reducer,NPS 6,NPS 4,,1,10,eccentric\n")) else {
        panic!()
    };
    assert_eq!((r.length, r.eccentric, r.small.od), (tenths(1400), true, tenths(1143)));
    let Kind::Reducer(r) = kind(&format!("{head}R,reducer,NPS 6,NPS 4,155,1,10,\n")) else {
        panic!()
    };
    assert_eq!((r.length, r.eccentric), (tenths(1550), false));
    let Kind::Cap(cap) = kind(&format!("{head}C,cap,NPS 6,,,1,10,\n")) else { panic!() };
    assert_eq!(cap.length, tenths(890));
}

#[test]
fn flanges_and_valves_have_theirs_and_measured_ones_override() {
    let head =
        "item,kind,size,length,quantity,build,class,type,bonnet,bonnet_height,diameter,gasket\n";
    // ASME B16.5 Class 150, NPS 6: 279.4 x 25.4 mm, studs 100 mm. B16.10 gate: 267 mm.
    for class in ["150", "Class 150", "CL150", "150#", "150 lb"] {
        let Kind::Flange(f) = kind(&format!("{head}F,flange,NPS 6,,1,10,{class},,,,,\n")) else {
            panic!()
        };
        assert_eq!((f.diameter, f.thickness, f.stud), (tenths(2794), tenths(254), tenths(1000)));
        assert_eq!((f.gasket, f.bare), (Length::from_mm(3), Bare::Covered));
    }
    let Kind::Flange(f) = kind(&format!("{head}F,flange,NPS 6,,1,10,150,bare,,,285,1.5\n")) else {
        panic!()
    };
    assert_eq!((f.diameter, f.bare, f.gasket), (tenths(2850), Bare::Uninsulated, tenths(15)));
    let Kind::Valve(v) = kind(&format!("{head}V,valve,NPS 6,,1,10,150,gate,219.1,400,,\n")) else {
        panic!()
    };
    assert_eq!(
        (v.face_to_face, v.bonnet, v.bonnet_height),
        (tenths(2670), tenths(2191), tenths(4000))
    );
    let Kind::Valve(v) = kind(&format!("{head}V,valve,NPS 6,,1,10,150,ball,none,,,\n")) else {
        panic!()
    };
    assert_eq!(
        (v.face_to_face, v.bonnet, v.bonnet_height),
        (tenths(3940), Length::ZERO, Length::ZERO)
    );
}

#[test]
fn vessels_are_read_whole() {
    let head = "item,kind,size,size2,length,quantity,build,type,crown,knuckle,orientation\n";
    let shell = kind(&format!("{head}S,shell,OD 1.5 m,,6 m,1,10,,,,vertical\n"));
    let expected =
        Shell { diameter: Length::from_mm(1500), length: Length::from_mm(6000), vertical: true };
    assert_eq!(shell, Kind::Shell(expected));
    let form = |cells: &str| match kind(&format!("{head}H,head,OD 1500,,,1,10,{cells}\n")) {
        Kind::Head(head) => head.form,
        other => panic!("{other:?}"),
    };
    assert_eq!(form("ellipsoidal,,,"), HeadForm::Ellipsoidal);
    assert_eq!(form("hemispherical,,,"), HeadForm::Hemispherical);
    assert_eq!(form("flat,,,"), HeadForm::Flat);
    let tori = HeadForm::Torispherical(Length::from_mm(1500), Length::from_mm(150));
    assert_eq!(form("torispherical,1500,150,"), tori);
    let disc = kind(&format!("{head}D,disc,OD 900,OD 300,,2,10,,,,\n"));
    let expected = Disc { outside: Length::from_mm(900), inside: Length::from_mm(300) };
    assert_eq!(disc, Kind::Disc(expected));
}

#[test]
fn dn_sizes_follow_the_rules() {
    let rules = Rules { diameters: Diameters::En, ..Rules::default() };
    let text = format!("{PLAIN}P-1,pipe,DN 65,1000,1,10\nP-2,pipe,DN 65,1000,1,10\n");
    let (takeoff, found) = with(&text, &rules);
    let Kind::Pipe(pipe) = &takeoff.unwrap().items[1].kind else { panic!() };
    // EN 10220 series 1, from memory: DN 65 is 76.1 mm.
    assert_eq!(pipe.size.od, tenths(761));
    // The weak row is told once, not for each line.
    assert!(found.len() == 1 && found[0].contains("warning T019"), "{found:?}");
    assert!(found[0].contains("outside diameter 76.1 mm of DN 65"), "{found:?}");
}

/// A takeoff with errors, and the codes it must give.
const MISTAKES: &[(&str, &str, &[&str])] = &[
    ("", "P-1,pipe,NPS 6,,1,10", &["T001"]),
    ("", ",pipe,NPS 6,1000,1,10", &["T001"]),
    ("", "P-1,,NPS 6,1000,1,10", &["T001"]),
    ("", "P-1,pipe,,1000,1,10", &["T001"]),
    ("", "P-1,pipe,NPS 6,1000,,10", &["T001"]),
    ("", "P-1,pipe,NPS 6,1000,1,", &["T001"]),
    ("", "P-1,pip,NPS 6,1000,1,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,long,1,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,\"2,4 m\",1,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,1000,two,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,1000,1.5,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,-1000,1,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,0,1,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,11 km,1,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,10001 m,1,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,999999999999 m,1,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,1000,0,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,1000,-1,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,1000,10000000,10", &["T003"]),
    ("", "P-1,pipe,NPS 6,1000,99999999999999999999,10", &["T002"]),
    ("", "P-1,pipe,NPS 6,1000,1,10\nP-1,pipe,NPS 6,1000,1,10", &["T004"]),
    ("", "P-1,pipe,NPS 6,1000,1,10\np-1,pipe,NPS 6,1000,1,10", &["T081"]),
    ("", "P-1,pipe,6,1000,1,10", &["T005"]),
    ("", "P-1,pipe,NPS 7,1000,1,10", &["T005"]),
    ("", "P-1,pipe,OD -5,1000,1,10", &["T005"]),
    ("", "P-1,pipe,NPS 6,1000,1,10x2", &["T006"]),
    ("", "P-1,pipe,NPS 6,1000,1,10+", &["T006"]),
    ("", "P-1,pipe,NPS 6,1000,1,10+0", &["T003"]),
    ("", "P-1,pipe,NPS 6,1000,1,500", &["T003"]),
    ("", "P-1,pipe,NPS 6,1000,1,150+150+150+150+1", &["T003"]),
    (",angle", "E,elbow,NPS 6,,1,10,0", &["T007"]),
    (",angle", "E,elbow,NPS 6,,1,10,-90", &["T007"]),
    (",angle", "E,elbow,NPS 6,,1,10,180.000001", &["T007"]),
    (",angle", "E,elbow,NPS 6,,1,10,ninety", &["T002"]),
    (",radius", "E,elbow,NPS 6,,1,10,84", &["T008"]),
    (",radius", "E,elbow,NPS 6,,1,10,lang", &["T002"]),
    (",radius", "E,elbow,OD 170,,1,10,long", &["T011"]),
    (",radius", "E,elbow,NPS 3/4,,1,10,short", &["T011"]),
    (",size2", "T,tee,NPS 3,,1,10,NPS 6", &["T009"]),
    (",size2", "T,tee,NPS 6,,1,10,NPS 1", &["T011", "T011"]),
    (",angle", "T,tee,NPS 6,,1,10,45", &["T011", "T011"]),
    (",angle", "T,tee,NPS 6,,1,10,120", &["T007"]),
    (",angle", "T,tee,NPS 6,,1,10,14.9", &["T007"]),
    ("", "P|1,pipe,NPS 6,1000,1,10", &["T002"]),
    (",centre_to_end", "T,tee,NPS 6,,1,10,80", &["T012"]),
    (",branch_height", "T,tee,NPS 6,,1,10,80", &["T012"]),
    (",size2", "R,reducer,NPS 6,,1,10,NPS 6", &["T010"]),
    (",size2", "R,reducer,NPS 4,,1,10,NPS 6", &["T010"]),
    (",size2", "R,reducer,NPS 6,,1,10,", &["T001"]),
    (",size2", "R,reducer,NPS 24,,1,10,NPS 1", &["T011"]),
    (",type,size2", "R,reducer,NPS 6,,1,10,excentric,NPS 4", &["T002"]),
    ("", "C,cap,OD 500,,1,10", &["T011"]),
    ("", "C,cap,NPS 6,20,1,10", &["T012"]),
    ("", "F,flange,NPS 6,,1,10", &["T001"]),
    (",class", "F,flange,NPS 6,,1,10,600", &["T011"]),
    (",class", "F,flange,NPS 6,,1,10,PN 16", &["T011"]),
    (",class,type,bonnet", "V,valve,NPS 6,,1,10,PN 16,gate,none", &["T011"]),
    (",class,gasket", "F,flange,NPS 6,,1,10,150,60", &["T012"]),
    // NPS 6 of class 150: two flanges of 25.4 mm and studs of 100 mm leave 49.2 mm.
    (",class,gasket", "F,flange,NPS 6,,1,10,150,49.2", &["T012"]),
    (",class,gasket", "F,flange,NPS 6,,1,10,150,49.1", &[]),
    (",class,diameter", "F,flange,NPS 6,,1,10,150,2794", &["T080"]),
    (",class,stud", "F,flange,NPS 6,,1,10,150,1000", &["T080"]),
    (",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,gate,none,1", &["T080"]),
    (",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,gate,none,2.29 m", &["T080"]),
    // A knife gate and a wafer check valve of NPS 4, as thin as they are made.
    (",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,gate,none,52", &[]),
    (",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,check,none,18", &[]),
    (",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,check,none,4", &["T080"]),
    (",class,type,bonnet,bonnet_height", "V,valve,NPS 6,,1,10,150,gate,220,6 m", &["T080"]),
    (",size2", "R,reducer,NPS 4,1,1,10,NPS 3", &["T080"]),
    (",size2", "R,reducer,NPS 4,10.2 m,1,10,NPS 3", &["T080"]),
    (",size2", "R,reducer,OD 1000,200,1,10,OD 200", &["T080"]),
    (",size2", "R,reducer,OD 1000,300,1,10,OD 200", &[]),
    ("", "C,cap,NPS 4,5000,1,10", &["T080"]),
    ("", "C,cap,NPS 4,70,1,10", &[]),
    (",centre_to_end", "T,tee,NPS 6,,1,10,10 m", &["T080"]),
    (",branch_height", "T,tee,NPS 6,,1,10,14.3 m", &["T080"]),
    (",size2", "D,disc,OD 800,,1,10,OD 799", &["T080"]),
    (",size2", "D,disc,OD 150,,1,10,OD 114.3", &[]),
    ("", "S,shell,OD 5,2000,1,10", &["T080"]),
    ("", "S,shell,NPS 3,2000,1,10", &[]),
    (",type", "H,head,OD 80,,1,10,ellipsoidal", &["T080"]),
    (",class,diameter", "F,flange,NPS 6,,1,10,150,160", &["T012"]),
    (",class,stud", "F,flange,NPS 6,,1,10,150,50", &["T012"]),
    (",class,type", "F,flange,NPS 6,,1,10,150,boxed", &["T002"]),
    (",class,bonnet", "V,valve,NPS 6,,1,10,150,none", &["T001"]),
    (",type,bonnet", "V,valve,NPS 6,,1,10,gate,none", &["T001"]),
    (",class,type,bonnet", "V,valve,NPS 6,,1,10,150,check,none", &["T011"]),
    (",class,type", "V,valve,NPS 6,,1,10,150,gate", &["T011", "T011"]),
    (",class,type,bonnet,bonnet_height", "V,valve,NPS 6,,1,10,150,gate,200,80", &["T012"]),
    ("", "S,shell,OD 1500,,1,10", &["T001"]),
    ("", "H,head,OD 1500,,1,10", &["T001"]),
    (",type", "H,head,OD 1500,,1,10,round", &["T002"]),
    (",type", "H,head,OD 1500,,1,10,torispherical", &["T011", "T011"]),
    (",type,crown,knuckle", "H,head,OD 1500,,1,10,torispherical,500,150", &["T012"]),
    (",type,crown,knuckle", "H,head,OD 1500,,1,10,torispherical,1500,750", &["T012"]),
    (",size2", "D,disc,OD 300,,1,10,OD 300", &["T012"]),
    (",release", "P-1,pipe,NPS 6,1000,1,10,-1", &["T003"]),
    (",measured", "P-1,pipe,NPS 6,1000,1,10,gross", &["T002"]),
    (",orientation", "P-1,pipe,NPS 6,1000,1,10,upright", &["T002"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,E-9", &["T013"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,P-1", &["T013"]),
    (",ends", "P-1,pipe,6,1000,1,10,E-9", &["T005", "T013"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,D\nD,disc,OD 300,,1,10,", &["T013"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,a|b|c", &["T002"]),
    (",ends", "P-1,pipe,NPS 6,1000,2,10,E|E\nE,elbow,NPS 6,,1,10,", &["T014"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,E\nE,elbow,NPS 4,,1,10,", &["T015"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,E|E\nE,elbow,NPS 6,,1,10,", &["T082"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,T branch|T\nT,tee,NPS 6,,1,10,", &["T082"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,E|E\nE,elbow,NPS 6,,2,10,", &[]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,S|S\nS,shell,OD 900,2000,1,10,", &[]),
    (",measured", "P-1,pipe,NPS 6,1000,1,10,through", &["T016"]),
    (",measured,line", "P-1,pipe,NPS 6,1000,2,10,through,L", &["T016"]),
    (
        ",measured,line",
        "P-1,pipe,NPS 6,1000,1,10,through,L\nP-2,pipe,NPS 6,1000,1,10,through,L",
        &["T016", "T016"],
    ),
    (",measured,ends", "P-1,pipe,NPS 6,457.2,1,10,through,E|E\nE,elbow,NPS 6,,2,10,,", &["T017"]),
    (",measured,line", "P-1,pipe,NPS 6,5000,1,10,through,L\nE,elbow,NPS 6,,2,10,,L", &["T083"]),
    (",measured,line", "P-1,pipe,NPS 6,5000,1,10,through,L\nE,elbow,NPS 6,,3,10,,L", &["T018"]),
    ("", "C,cap,NPS 6,,1,10", &["T019"]),
    ("", "P-1,pipe,NPS 6,4.9,1,10", &["T022"]),
    ("", "P-1,pipe,NPS 6,49.9 mm,1,10", &["T022"]),
    ("", "P-1,pipe,NPS 6,50,1,10", &[]),
    ("", "P-1,pipe,NPS 6,12 ft 14 in,1,10", &["F026"]),
    ("", "P-1,pipe,NPS 6,12 ft 11 7/8 in,1,10", &[]),
    (",radius", "E,elbow,NPS 6,,1,10,0 ft 12 in", &["F026"]),
    ("", "P-1,pipe,NPS 6,200 m,1,10", &[]),
    ("", "P-1,pipe,NPS 6,4900 m,1,10", &["T022"]),
    ("", "S,shell,OD 1500,4.2,1,10", &["T022"]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,none|E\nE,elbow,NPS 6,,1,10,", &[]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,E|-\nE,elbow,NPS 6,,1,10,", &[]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,none|none", &[]),
    (",ends", "P-1,pipe,NPS 6,1000,1,10,none|E-9", &["T013"]),
    (",angle", "P-1,pipe,NPS 6,1000,1,10,45", &["T020"]),
    (",knuckle", "P-1,pipe,NPS 6,1000,1,10,45", &["T020"]),
    (",type,crown", "H-1,head,OD 1500,,1,10,hemispherical,1000", &["T020"]),
];

#[test]
fn every_mistake_is_told() {
    for (headings, lines, expected) in MISTAKES {
        let text = format!("{}{headings}\n{lines}\n", PLAIN.trim_end());
        // Lines shorter than the headings are filled up, so that only the mistake itself is told.
        let commas = text.lines().next().unwrap().matches(',').count();
        let text: Vec<String> = text
            .lines()
            .map(|line| {
                let quoted = line.matches('"').count();
                let own = line.matches(',').count() - usize::from(quoted > 0);
                format!("{line}{}", ",".repeat(commas.saturating_sub(own)))
            })
            .collect();
        let text = text.join("\n");
        assert_eq!(ids(&text), *expected, "{text}\n{:#?}", takeoff(&text).1);
    }
}

/// The first finding of a takeoff, whole.
fn first(headings: &str, lines: &str) -> String {
    takeoff(&format!("item,kind,size,length,quantity,build{headings}\n{lines}\n")).1.remove(0)
}

#[test]
fn rare_dimensions_are_told_with_what_they_may_be() {
    let told = first(",class,type,bonnet,face_to_face", "V,valve,NPS 4,,1,10,150,gate,none,9");
    assert_eq!(
        told,
        "takeoff.csv:2:10 (face_to_face): warning T080: the valve's face to face is read as 9 mm, and on \
         NPS 4 hardly any is below 48 mm; is it centimetres or inches? Then write `9 cm` or `9 in`; leave it \
         if it is right"
    );
    let told = first(",class,gasket", "F,flange,NPS 4,,1,10,150,100");
    assert!(
        told.starts_with("takeoff.csv:2:8 (gasket): error T012: studs of 90 mm do not reach"),
        "{told}"
    );
    assert!(told.contains("two flanges of 23.9 mm and a gasket of 100 mm"), "{told}");
    let told = first("", "S,shell,OD 5,2000,1,10");
    assert!(
        told.contains("`OD 5` is only 5 mm across; is it metres or inches? Then write `OD 5 m`"),
        "{told}"
    );
}

#[test]
fn a_class_in_no_table_is_told_once_with_what_to_measure() {
    let told = takeoff(
        "item,kind,size,length,quantity,build,class,type,bonnet,stud\nV,valve,NPS 4,,1,10,PN16,gate,none,90\n",
    );
    assert_eq!(
        told.1,
        [
            "takeoff.csv:2:7 (class): error T011: the tables hold flanges of class 150 and 300 only, and this is \
          `PN16`; measure it and fill in `diameter`, `thickness` and `face_to_face`, or correct the class"
        ]
    );
}

#[test]
fn ends_are_told_by_their_cause() {
    let told = |ends: &str| {
        let lines = format!(
            "P-1,pipe,NPS 4,1000,1,10,\"{ends}\"\nE1,elbow,NPS 4,,1,10,\nF1,elbow,NPS 4,,1,10,\n\
             T1,tee,NPS 4,,1,10,"
        );
        first(",ends", &lines)
    };
    for ends in ["E1,F1", "E1;F1", "E1; F1", "E1/F1", "E1 and F1", "E1 F1", "E1 + F1", "E1 - F1"] {
        assert!(
            told(ends).contains("a bar separates two; write `E1|F1` if"),
            "{ends}: {}",
            told(ends)
        );
    }
    assert!(told("E1,X9").contains("write `E1|X9` if"), "{}", told("E1,X9"));
    assert!(told("E1-F1").contains("there is no fitting `E1-F1`"), "{}", told("E1-F1"));
    let top = told("T1 top");
    assert!(top.contains("`T1` is there, but has no end called `top`"), "{top}");
    assert!(top.contains("write `T1` or `T1 run` or `T1 branch`"), "{top}");
    assert!(told("E1 left").ends_with("no end called `left`; write `E1`"), "{}", told("E1 left"));
}

#[test]
fn words_in_the_place_of_a_length_are_no_units() {
    for word in ["no", "n/a", "?", "see drawing"] {
        let told = first("", &format!("P-1,pipe,NPS 6,{word},1,10"));
        assert!(told.contains(&format!("`{word}` is not a length; write millimetres")), "{told}");
        let told = first(",class,type,bonnet", &format!("V,valve,NPS 6,,1,10,150,gate,{word}"));
        assert!(told.contains(&format!("`{word}` is not a length; ")), "{told}");
        assert!(told.contains("write none in `bonnet`"), "{told}");
    }
    assert!(first("", "P-1,pipe,NPS 6,2.4 km,1,10").contains("`km` is not a unit"));
    let told = first("", "P-1,pipe,NPS 6,2 400,1,10");
    assert!(
        told.contains("a space stands inside the number; write it without, such as `2400`"),
        "{told}"
    );
    assert!(first("", "P-1,pipe,NPS 6,12.05.2026,1,10").contains("it looks like a date"));
}

#[test]
fn other_words_of_the_trade_are_known() {
    for (word, kind) in [
        ("bend", "elbow"),
        ("Ell", "elbow"),
        ("90", "elbow"),
        ("tee piece", "tee"),
        ("Tank", "shell"),
    ] {
        let told = first("", &format!("P-1,{word},NPS 6,1000,1,10"));
        assert!(told.contains(&format!("write `{kind}` if that is meant")), "{told}");
    }
}

#[test]
fn every_code_has_an_example() {
    let mut shown: BTreeSet<&str> = MISTAKES.iter().flat_map(|(.., ids)| *ids).copied().collect();
    // The stock is needed for these.
    shown.insert(check_against_thin_stock()[0].0);
    shown.extend(check_against_shelf().iter().map(|(id, _)| *id));
    for code in codes::ALL {
        assert!(shown.contains(code.id), "{} {} has no example", code.id, code.title);
    }
}

fn check_against_thin_stock() -> Vec<(&'static str, String)> {
    let text = format!("{PLAIN}P-1,pipe,NPS 6,1000,1,5+10\nP-2,pipe,NPS 6,1000,1,20\n");
    let takeoff = takeoff(&text).0.unwrap();
    let rolls = b"roll,thickness,width,length\nA,10,1500,20 m\n";
    let stock = Stock { rolls: read_rolls("rolls.csv", rolls).0.unwrap(), offcuts: Vec::new() };
    check_against_stock(&takeoff, &stock).iter().map(|f| (f.code.id, f.to_string())).collect()
}

/// Items of 10 mm against offcuts of 10, of 5 that are on offer, and of 100, which is a slip.
fn check_against_shelf() -> Vec<(&'static str, String)> {
    let takeoff = takeoff(&format!("{PLAIN}P-1,pipe,NPS 6,1000,1,10\n")).0.unwrap();
    let rolls = b"roll,thickness,width,length\nA,10,1500,20 m\nB,5,1500,20 m\n";
    let offcuts = b"offcut,thickness,width,length\nO,10,500,2 m\nQ,5,500,2 m\nX,100,500,2 m\n";
    let stock = Stock {
        rolls: read_rolls("rolls.csv", rolls).0.unwrap(),
        offcuts: crate::stock::read_offcuts("offcuts.csv", offcuts).0.unwrap(),
    };
    check_against_stock(&takeoff, &stock).iter().map(|f| (f.code.id, f.to_string())).collect()
}

#[test]
fn offcuts_that_serve_for_nothing_are_told() {
    let found = check_against_shelf();
    assert_eq!(found.iter().map(|(id, _)| *id).collect::<Vec<_>>(), ["T024", "T023"]);
    assert!(
        found[1].1.starts_with("offcuts.csv:4 (thickness): warning T023: the offcut `X` is 100 mm")
    );
}

/// What is wrong with a fitting is told on its own line, once.
#[test]
fn a_fitting_that_is_wrong_itself_is_not_told_as_missing() {
    let head = "item,kind,size,length,quantity,build,ends,size2\n";
    // No table has an NPS 1 branch on NPS 6, and 10+x is no build.
    for (fitting, own) in [
        ("T-1,tee,NPS 6,,1,10,,NPS 1", &["T011", "T011"][..]),
        ("T-1,tee,NPS 6,,1,10+x,,", &["T006"]),
    ] {
        for ends in ["T-1 branch", "T-1 run|T-1", "T-1|none"] {
            let text = format!("{head}P-1,pipe,NPS 6,1000,1,10,{ends},\n{fitting}\n");
            assert_eq!(ids(&text), own, "{ends}: {:?}", takeoff(&text).1);
        }
    }
    let tee = "T-1,tee,NPS 6,,1,10,,";
    let text = format!("{head}P-1,pipe,NPS 6,1000,1,10,T-1 brunch,\n{tee}\n");
    assert_eq!(ids(&text), ["T013"], "of a good line its ends are known");
    // The nearest name is the run's own.
    let text = format!("{head}EX3-P1,pipe,NPS 6,1000,1,10,EX3-P2,\n{tee}\n");
    let (_, found) = takeoff(&text);
    assert!(found.len() == 1 && !found[0].contains("`EX3-P1`"), "{found:?}");
    let text = format!("{head}EX3-P1,pipe,NPS 6,1000,1,10,EX3-P1,\n{tee}\n");
    let (_, found) = takeoff(&text);
    assert!(found.len() == 1 && found[0].contains("T013: `EX3-P1` is the run itself"), "{found:?}");
}

/// Like runs that are more than a fitting's ends are not told that others took them.
#[test]
fn fewer_ends_than_like_runs_are_told_as_such() {
    let head = "item,kind,size,length,quantity,build,ends\nE-1,elbow,NPS 6,,1,10,\n";
    let told = |lines: &str| takeoff(&format!("{head}{lines}\n")).1;
    let found = told("P-1,pipe,NPS 6,1000,3,10,E-1");
    assert!(found.len() == 1, "{found:?}");
    assert!(found[0].contains("T014: `E-1` has too few ends left for 3 like runs"), "{found:?}");
    let found = told("P-1,pipe,NPS 6,1000,2,10,E-1\nP-2,pipe,NPS 6,900,2,10,E-1");
    assert!(found.len() == 1, "{found:?}");
    assert!(found[0].contains("T014: all ends of `E-1` are taken already"), "{found:?}");
}

/// A name that stands at both ends and is wrong at both is told once; two wrong names are two.
#[test]
fn a_wrong_name_at_both_ends_is_told_once() {
    let head = "item,kind,size,length,quantity,build,ends\nE-1,elbow,NPS 6,,1,10,\nD-1,elbow,NPS 4,,1,10,\n";
    for (ends, told) in [
        ("P-1|P-1", &["T013"][..]),
        ("E-7|E-7", &["T013"]),
        ("D-1|D-1", &["T015"]),
        ("E-7|E-8", &["T013", "T013"]),
        ("E-7|P-1", &["T013", "T013"]),
        ("E-1|E-1", &["T082"]),
    ] {
        let text = format!("{head}P-1,pipe,NPS 6,1000,1,10,{ends}\n");
        assert_eq!(ids(&text), told, "{ends}: {:?}", takeoff(&text).1);
    }
}

/// The likely unit is named; lines of quantities, whose lengths are totals, are not asked.
#[test]
fn lengths_in_another_unit_are_told_with_it() {
    let (_, found) =
        takeoff(&format!("{PLAIN}P-1,pipe,NPS 6,7.35,1,10\nP-2,pipe,NPS 6,7350 m,1,10\n"));
    assert!(
        found[0]
            .contains("only 7.35 mm long; is it metres or feet? Then write `7.35 m` or `7.35 ft`"),
        "{found:?}"
    );
    assert!(found[1].contains("7350 m long; is it millimetres? Then write `7350`"), "{found:?}");
    let text = format!("{PLAIN},pipe,NPS 6,7350 m,1,10\n");
    let (_, found) =
        super::read_unnamed("quantities.csv", text.as_bytes(), &crate::rules::Rules::default());
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn a_build_without_its_roll_is_told_on_its_line() {
    let found = check_against_thin_stock();
    assert_eq!(found.len(), 2);
    assert!(
        found[0].1.starts_with(
            "takeoff.csv:2 (build): error T021: there is no roll or offcut 5 mm thick;"
        )
    );
    assert!(found[1].1.contains("20 mm thick, and all there are are thinner"), "{found:?}");
}

/// A thickness is a product's name: 3/8 in is 9.525 mm and no 10 mm, though most likely meant; 4 mm is no 5 mm.
#[test]
fn a_roll_that_is_nearly_as_thick_is_named() {
    let told = |thickness: &str| {
        let rules = crate::rules::Rules::default();
        let takeoff = format!("{PLAIN}P-1,pipe,NPS 6,1000,1,10\n");
        let takeoff = super::read("takeoff.csv", takeoff.as_bytes(), &rules).0.unwrap();
        let rolls = format!("roll,thickness,width,length\nF10,{thickness},48 in,50 ft\n");
        let rolls = crate::stock::read_rolls("rolls.csv", rolls.as_bytes()).0.unwrap();
        let stock = crate::stock::Stock { rolls, offcuts: Vec::new() };
        let found = super::check_against_stock(&takeoff, &stock);
        found.iter().map(|finding| finding.remedy.clone()).collect::<Vec<_>>()
    };
    let near = told("3/8 in");
    assert!(
        near[0].contains("the roll `F10` is 9.525 mm") && near[0].contains("write 10 as"),
        "{near:?}"
    );
    assert_eq!(told("8"), ["build it from 8 mm, or add the roll to the stock"]);
    assert!(told("10").is_empty());
}

#[test]
fn a_message_quotes_says_and_mends() {
    let (_, found) = takeoff(&format!("{PLAIN}P-1,elbo,NPS 6,1000,1,10\n"));
    assert_eq!(
        found,
        ["takeoff.csv:2:2 (kind): error T002: `elbo` is not known as `kind`; write `elbow` if \
          that is meant, else one of `pipe`, `elbow`, `tee`, `reducer`, `cap`, `flange`, `valve`, \
          `shell`, `head`, `disc`"]
    );
    let (_, found) = takeoff(&format!("{PLAIN}P-1,pipe,NPS 6,\"2,4 m\",1,10\n"));
    assert!(found[0].starts_with("takeoff.csv:2:4 (length): error T002: `2,4 m` has a comma;"));
    let (_, found) = takeoff(&format!("{PLAIN}P-1,pipe,NPS 6,1000,10000000,10\n"));
    assert!(found[0].ends_with("give a value from 1 to 1000000"), "{found:?}");
}

#[test]
fn all_problems_of_a_line_and_of_all_lines_are_told_at_once() {
    let text = format!("{PLAIN},pip,6,x,0,a\nP-2,pipe,NPS 6,-1,1,10\n");
    assert_eq!(ids(&text), ["T001", "T002", "T003", "T006", "T003"]);
}

/// A run's net length and what was taken out.
fn settled(text: &str) -> (Length, Measure) {
    match kind(text) {
        Kind::Pipe(pipe) => (pipe.length, pipe.measure),
        other => panic!("{other:?}"),
    }
}

const RUNS: &str =
    "item,line,kind,size,size2,length,quantity,build,angle,class,type,measured,ends,bonnet\n";

#[test]
fn named_ends_come_off_a_through_length() {
    // Take-outs: long-radius elbow NPS 6, R = 228.6 mm; 45 degrees, R tan 22.5; tee 6 x 3 on its
    // run 143, on its branch 124 (B16.9); a Class 150 flange pair 25.4 + 1.5 mm (B16.5, gasket 3).
    let tan = libm::tan(std::f64::consts::PI / 8.0);
    let forty_five = Length::from_mm_f64_nearest(228.6 * tan).unwrap();
    for (ends, size, out) in [
        ("E", "NPS 6", tenths(2286)),
        ("E|E", "NPS 6", tenths(4572)),
        ("F|E", "NPS 6", tenths(2286) + forty_five),
        ("T", "NPS 6", tenths(1430)),
        ("T", "NPS 3", tenths(1240)),
        ("T branch", "NPS 3", tenths(1240)),
        ("G", "NPS 6", tenths(269)),
        // Half of 267 mm face to face (B16.10), a gasket of 3 mm, a flange of 25.4 mm.
        ("V", "NPS 6", tenths(1335 + 30 + 254)),
        // Half of the reducer's 140 mm.
        ("R", "NPS 6", tenths(700)),
        ("R", "NPS 4", tenths(700)),
        ("S", "NPS 6", Length::ZERO),
        ("none", "NPS 6", Length::ZERO),
    ] {
        let text = format!(
            "{RUNS}P,L,pipe,{size},,5000,1,10,,,,through,{ends},\nE,L,elbow,NPS 6,,,1,10,,,,,,\n\
             F,L,elbow,NPS 6,,,1,10,45,,,,,\nT,L,tee,NPS 6,NPS 3,,1,10,,,,,,\n\
             G,L,flange,NPS 6,,,1,10,,150,,,,\nV,L,valve,NPS 6,,,1,10,,150,gate,,,none\n\
             R,L,reducer,NPS 6,NPS 4,,1,10,,,,,,\nS,L,shell,OD 1500,,3000,1,10,,,,,,\n"
        );
        assert_eq!(settled(&text), (Length::from_mm(5000) - out, Measure::Through(out)), "{ends}");
        // The same ends of a net length take nothing out but are kept.
        let net = text.replace(",through,", ",net,");
        assert_eq!(settled(&net), (Length::from_mm(5000), Measure::Net), "{ends}");
        let Kind::Pipe(pipe) = kind(&net) else { panic!() };
        let names: Vec<&str> =
            ends.split('|').map(|name| name.trim_end_matches(" branch")).collect();
        let wanted: &[&str] = if ends == "none" { &[] } else { &names };
        assert_eq!(pipe.ends, wanted);
    }
}

/// A lateral of 150 mm to its short end and 470 to the long one on the acute side takes out of each run what its
/// own end is; a run that does not say which is told.
#[test]
fn a_slanted_tee_has_two_ends() {
    let text = |ends: &str, angle: &str, acute: &str| {
        let head = RUNS.trim_end().replace("angle", "angle,centre_to_end,acute_end,branch_height");
        format!(
            "{head}\nP,L,pipe,NPS 6,,5000,1,10,,,,,,,through,{ends},\n\
             T,L,tee,NPS 6,NPS 3,,1,10,{angle},150,{acute},480,,,,,\n"
        )
    };
    let out = |ends: &str, acute: &str| settled(&text(ends, "45", acute)).1;
    assert_eq!(out("T acute", "470"), Measure::Through(Length::from_mm(470)));
    assert_eq!(out("T obtuse", "470"), Measure::Through(Length::from_mm(150)));
    assert_eq!(out("T", ""), Measure::Through(Length::from_mm(150)));
    assert_eq!(out("T run", "150"), Measure::Through(Length::from_mm(150)));
    let Kind::Pipe(pipe) = kind(&text("T acute|none", "45", "470")) else { panic!() };
    assert_eq!(pipe.ends, ["T"]);
    assert_eq!(ids(&text("T", "45", "470")), ["T013"]);
    assert_eq!(ids(&text("T acute", "90", "470")), ["T012"]);
    // Both of its ends are one tee's: no third run.
    let more = text("T acute|T obtuse", "45", "470");
    assert_eq!(settled(&more).1, Measure::Through(Length::from_mm(620)));
}

/// An open end before a named one keeps its place; behind it nothing is kept.
#[test]
fn an_open_first_end_keeps_its_place() {
    for (ends, wanted) in [("none|E", vec!["", "E"]), ("|E", vec!["", "E"]), ("E|none", vec!["E"])]
    {
        let text = format!(
            "{RUNS}P,L,pipe,NPS 6,,5000,1,10,,,,through,{ends},\nE,L,elbow,NPS 6,,,1,10,,,,,,\n"
        );
        let Kind::Pipe(pipe) = kind(&text) else { panic!() };
        assert_eq!(pipe.ends, wanted, "{ends}");
        assert_eq!(pipe.length, Length::from_mm(5000) - tenths(2286), "{ends}");
    }
}

#[test]
fn a_lone_through_run_loses_all_fittings_of_its_line_and_size() {
    let text = format!(
        "{RUNS}P,L,pipe,NPS 6,,12 m,1,10,,,,,,\nE,L,elbow,NPS 6,,,4,10,,,,,,\n\
         T,L,tee,NPS 6,NPS 3,,2,10,,,,,,\nX,M,elbow,NPS 6,,,1,10,,,,,,\n\
         Y,L,elbow,NPS 3,,,1,10,,,,,,\nB,L,pipe,NPS 3,,3 m,1,10,,,,,E2,\nE2,L,elbow,NPS 3,,,1,10,,,,,,\n"
    );
    let rules = Rules { lengths: Lengths::Through, ..Rules::default() };
    let (takeoff, found) = with(&text, &rules);
    let items = takeoff.unwrap().items;
    // Four elbows 2 x 228.6 each and two tees 2 x 143 each; nothing of other lines and sizes.
    let out = tenths(4 * 2 * 2286 + 2 * 2 * 1430);
    let Kind::Pipe(pipe) = &items[0].kind else { panic!() };
    assert_eq!((pipe.length, pipe.measure), (Length::from_mm(12_000) - out, Measure::Through(out)));
    let notes: Vec<&String> = found.iter().filter(|f| f.contains("note T018")).collect();
    assert!(notes.len() == 1 && notes[0].contains("6 fittings"), "{found:?}");
    // The branch run names its own end: R = 114.3 mm.
    let Kind::Pipe(pipe) = &items[5].kind else { panic!() };
    assert_eq!(pipe.measure, Measure::Through(tenths(1143)));
}

#[test]
fn what_fittings_take_out_is_told_to_the_tenth() {
    // By hand: R = 228.6 mm, 2 R tan 22.5 = 189.378 mm an elbow, four of them 757.514 mm.
    let text = format!("{RUNS}P,L,pipe,NPS 6,,12 m,1,10,,,,,,\nE,L,elbow,NPS 6,,,4,10,45,,,,,\n");
    let rules = Rules { lengths: Lengths::Through, ..Rules::default() };
    let found = with(&text, &rules).1;
    let told =
        "12000 mm through fittings less 757.5 mm for 4 fittings of line `L` leave 11242.5 mm;";
    assert!(found.iter().any(|f| f.contains(told)), "{found:?}");
}

#[test]
fn ends_taken_by_named_runs_are_not_taken_twice() {
    let text = format!(
        "{RUNS}P,L,pipe,NPS 6,,5000,1,10,,,,through,,\nQ,L,pipe,NPS 6,,5000,1,10,,,,net,E,\n\
         E,L,elbow,NPS 6,,,1,10,,,,,,\n"
    );
    assert_eq!(settled(&text).1, Measure::Through(tenths(2286)));
}

#[test]
fn an_equal_tee_gives_its_branch_to_the_other_line() {
    // ASME B16.9, NPS 42: C = 762, M = 711 mm.
    let measures = |other: &str| -> Vec<Measure> {
        let text = format!(
            "{RUNS}{other}A,L,pipe,NPS 42,,9000,1,10,,,,through,,\nT,L,tee,NPS 42,,,1,10,,,,,,\n"
        );
        let items = takeoff(&text).0.unwrap().items;
        let measure = |item: &Item| match &item.kind {
            Kind::Pipe(pipe) => Some(pipe.measure),
            _ => None,
        };
        items.iter().filter_map(measure).collect()
    };
    let through = Measure::Through(tenths(2 * 7620));
    let branch = "B,M,pipe,NPS 42,,5000,1,10,,,,through,T,\n";
    assert_eq!(measures(branch), [Measure::Through(tenths(7110)), through]);
    // Nor does the run lose it where no other line takes it.
    assert_eq!(measures(""), [through]);
}

#[test]
fn a_weak_row_is_told_once_with_all_its_dimensions() {
    let text = "item,kind,size,size2,length,quantity,build\n\
                T-1,tee,NPS 6,NPS 3,,1,10\nT-2,tee,NPS 6,NPS 3,,1,10\n";
    let (_, found) = takeoff(text);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("centre-to-end length 143 mm, branch height 124 mm"), "{found:?}");
    assert!(found[0].contains("`centre_to_end`, `branch_height`"), "{found:?}");
}

#[test]
fn inches_and_millimetres_give_the_same_items() {
    let metric = format!("{PLAIN}P,pipe,OD 168.275,2298.7,1,12.7+6.35\n");
    let inches = format!("{PLAIN}P,pipe,OD 6 5/8 in,7 ft 6 1/2 in,1,1/2 in+1/4 in\n");
    let read = |text: &str| {
        let mut item = takeoff(text).0.unwrap().items.remove(0);
        if let Kind::Pipe(pipe) = &mut item.kind {
            pipe.size.text.clear();
        }
        item
    };
    assert_eq!(read(&metric), read(&inches));
}

const GOOD: &str = "item,area,line,kind,size,size2,length,quantity,build,angle,radius,class,type,\
measured,ends,bonnet,bonnet_height\n\
P-1,A,L,pipe,NPS 6,,\"7'-6 1/2\"\"\",1,5+10,,,,,through,E-1|T-1 run,,\n\
E-1,A,L,elbow,DN 150,,,2,5+10,45,long,,,,,,\n\
T-1,A,L,tee,NPS 6,NPS 3,,1,10,,,,,,,,\n\
V-1,A,L,valve,OD 168.3,,,1,10,,,150,gate,,,219.1,400 mm\n";

#[test]
fn the_good_takeoff_is_good() {
    assert!(takeoff(GOOD).0.is_some_and(|t| t.items.len() == 4));
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(300))]

    #[test]
    fn no_bytes_stop_the_reader(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..300)) {
        let (takeoff, findings) = read("takeoff.csv", &bytes, &Rules::default());
        proptest::prop_assert_eq!(takeoff.is_none(), findings.has_errors());
    }

    #[test]
    fn no_slip_in_a_good_file_stops_the_reader(
        at in 0_usize..GOOD.len(),
        with in "(.|\n|\"|,|-|\u{0}){0,3}",
        gone in 0_usize..6,
    ) {
        let start = GOOD.floor_char_boundary(at);
        let end = GOOD.ceil_char_boundary((start + gone).min(GOOD.len()));
        let text = format!("{}{with}{}", &GOOD[..start], &GOOD[end..]);
        let (takeoff, findings) = read("takeoff.csv", text.as_bytes(), &Rules::default());
        proptest::prop_assert_eq!(takeoff.is_none(), findings.has_errors());
        for item in takeoff.iter().flat_map(|t| &t.items) {
            proptest::prop_assert!(item.quantity > 0 && !item.build.layers().is_empty());
            if let Kind::Pipe(pipe) = &item.kind {
                proptest::prop_assert!(pipe.length.is_positive() && pipe.ends.len() <= 2);
            }
        }
    }

    /// The same takeoff in inches and in millimetres: 64 sixty-fourths of 25.4 mm each.
    #[test]
    fn inches_and_millimetres_give_the_same_run(
        length in 4_i64..1_000_000, od in 20_i64..40_000, layer in 2_i64..=64,
    ) {
        let inches = |n: i64| format!("{} {}/64 in", n / 64, n % 64);
        let mm = |n: i64| Length::from_nm(n * 396_875).to_string();
        let read = |text: fn(&dyn Fn(i64) -> String, [i64; 3]) -> String, unit: &dyn Fn(i64) -> String| {
            let line = text(unit, [od, length, layer]);
            let item = takeoff(&format!("{PLAIN}{line}\n")).0.unwrap().items.remove(0);
            let Kind::Pipe(pipe) = item.kind else { panic!() };
            (pipe.size.od, pipe.length, item.build)
        };
        let line = |unit: &dyn Fn(i64) -> String, [od, length, layer]: [i64; 3]| {
            format!("P,pipe,OD {},{},1,{}", unit(od), unit(length), unit(layer))
        };
        proptest::prop_assert_eq!(read(line, &inches), read(line, &mm));
    }

    #[test]
    fn what_is_written_is_read(
        mm in 1_i64..10_000_000,
        quantity in 1_u64..=1_000_000,
        layers in proptest::collection::vec(1_i64..=50, 1..8),
        row in 0_usize..33,
    ) {
        let size = crate::standards::pipe_rows()[row];
        let build: Vec<String> = layers.iter().map(ToString::to_string).collect();
        let text = format!("{PLAIN}P,pipe,DN {},{mm},{quantity},{}\n", size.dn, build.join("+"));
        let item = takeoff(&text).0.unwrap().items.remove(0);
        proptest::prop_assert_eq!(item.quantity, quantity);
        let Kind::Pipe(pipe) = &item.kind else { panic!() };
        proptest::prop_assert_eq!(pipe.length.nm(), mm * NM);
        proptest::prop_assert_eq!(pipe.size.od, size.asme.value);
        let read: Vec<i64> = item.build.layers().iter().map(|l| l.nm() / NM).collect();
        proptest::prop_assert_eq!(read, layers);
    }
}
