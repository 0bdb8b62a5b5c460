//! Codes of findings on demand.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[
    &NO_ROLL,
    &TOO_NARROW,
    &TOO_LARGE,
    &SHAPE,
    &TOO_MANY_ENDS,
    &TOO_MANY_PIECES,
    &STAGGER,
    &SEAM_STAGGER,
    &WELD_STAGGER,
    &NO_ROOM_FOR_REACH,
    &SMALL_PIECE,
    &RING_SPLIT,
    &STAND_OFF,
    &THICK_BEND,
    &ELBOW_SEAMS,
    &LONGER_COVER,
    &WOUND,
    &NOT_TO_BE_CHOSEN,
    &BUILDS_DIFFER,
    &FITTED,
    &HEAD_STAGGER,
    &RUNS_GIVE_WAY,
    &STACKED,
    &SEAMS_AT_BENDS,
    &CROWDED,
    &BOLTS_COVERED,
    &AT_RINGS,
    &COVER_IN_COURSES,
];

/// No roll of the thickness is on offer.
pub const NO_ROLL: Code = Code::error(
    "D002",
    "no roll of this thickness",
    "A layer has a thickness in which nothing is on offer. Add a roll of that thickness, or build \
     the insulation up from the thicknesses that are.",
);
/// The rolls are narrower than the smallest piece.
pub const TOO_NARROW: Code = Code::error(
    "D003",
    "rolls narrower than the smallest piece",
    "After the edge trims the widest roll of a thickness is narrower than the smallest piece that \
     the rules allow (and twice the stagger where layers are staggered), so no course can be laid.",
);
/// A piece fits no roll.
pub const TOO_LARGE: Code = Code::error(
    "D004",
    "piece larger than every roll",
    "A piece of the item fits no roll of its thickness, within the pull limit, and cannot be \
     split. Offer a larger roll, raise the pull limit, or measure the item again.",
);
/// A developed shape that is not simple.
pub const SHAPE: Code = Code::error(
    "D005",
    "the dimensions make no flat pattern",
    "The dimensions contradict each other: the developed shape would cross itself or vanish. \
     Check the size, radius, angle and build of the item.",
);
/// More pipe ends at an item than it has sides.
pub const TOO_MANY_ENDS: Code = Code::error(
    "D006",
    "more pipe ends than sides",
    "More pipe ends are named at an item than it has sides (quantity counted in), so some run \
     would be shortened for a fitting that is not there.",
);
/// A plan's choice of courses that breaks the rules.
pub const NOT_TO_BE_CHOSEN: Code = Code::error(
    "D008",
    "chosen courses break the rules",
    "A plan gives a run other courses than specified, and these do not keep what the rules ask \
     for: widths, stagger, number of joints, or the item is pinned. The job has changed since the \
     plan was made, or the plan file has. Plan the job again.",
);
/// More pieces than a job may have.
pub const TOO_MANY_PIECES: Code = Code::error(
    "D007",
    "too many pieces",
    "A job may have up to 2,000,000 pieces, as each is laid, cut and listed by itself. Check quantity and \
     length; what is really as large is planned as several jobs.",
);
/// The stagger along a run cannot be kept.
pub const STAGGER: Code = Code::warning(
    "D010",
    "joints along the run closer than the stagger",
    "No division into courses was found that keeps the joints of neighbouring layers apart by the rule. The \
     largest distance that can be kept is used.",
);
/// The stagger round a run cannot be kept.
pub const SEAM_STAGGER: Code = Code::note(
    "D011",
    "longitudinal seams closer than the stagger",
    "Half the girth is less than the stagger, so the seams of neighbouring layers lie opposite \
     each other: further apart they cannot be.",
);
/// The joint at a weld is not staggered.
pub const WELD_STAGGER: Code = Code::warning(
    "D012",
    "joints at the weld not staggered",
    "The rules ask for staggered joints, and here all layers meet the neighbour in one plane. Inner \
     layers of an elbow reach past the weld into a run only where the run names the elbow as its \
     end and has the same size and build; name the elbow in the run's ends if the joint must be \
     staggered. At tees, reducers, heads, shells and caps the layers meet in the weld plane: where the \
     specification does not allow it, move the neighbours' joints on site. Two runs that meet each other are \
     better given as one. With a stagger of 0 nothing \
     is said.",
);
/// A run too short for the reach of an elbow's inner layers.
pub const NO_ROOM_FOR_REACH: Code = Code::warning(
    "D013",
    "run too short for what reaches into it",
    "The inner layers of an elbow reach into a run by the stagger for each layer, the cover of a \
     short tee by what it is longer, and a flange takes the room to draw its bolts. What is left \
     of this run would be less than the smallest piece, so it is not shortened at the end that is named, an \
     elbow's first; at an elbow all layers then meet in the weld plane, and at a flange the run goes up to it.",
);
/// A piece below the smallest.
pub const SMALL_PIECE: Code = Code::note(
    "D014",
    "cover narrower than the smallest piece",
    "The whole run is shorter than the smallest piece of the rules, or a bend turns so little that a piece of its \
     cover is narrower even at the heel than the smallest throat. It is cut all the same; it can also be covered by \
     lengthening the neighbour's piece, a slight bend by mitring the two runs' pieces.",
);
/// A ring cut in several pieces.
pub const RING_SPLIT: Code = Code::note(
    "D015",
    "ring in several pieces",
    "The stretch-out is longer than roll or pull limit take, so each ring is cut into like pieces \
     with as many longitudinal seams, in all layers alike, and the seams of neighbouring layers \
     are staggered.",
);
/// Fewer gores than the tolerance asks for.
pub const STAND_OFF: Code = Code::warning(
    "D016",
    "gored elbow stands off the bend",
    "More gores would follow the bend more closely, but the throats even of the innermost layer would be \
     narrower than the rule (or their number is given). The heel stands off further than elbow.tolerance; the \
     pieces cover the surface all the same, with a hollow beneath them at the heel.",
);
/// Insulation thicker than the bend leaves room for.
pub const THICK_BEND: Code = Code::warning(
    "D017",
    "insulation thicker than the bend leaves room for",
    "The mid-surface of a layer is further from the pipe's centre than the bend's axis is, so \
     gores end in a point before the throat and the covers of the two pipes run into each other \
     there. The elbow's ends are cut back at the throat where a run is joined; elsewhere the \
     neighbouring cover must be notched on site.",
);
/// Seams of a bend near those of the run over its ends.
pub const SEAMS_AT_BENDS: Code = Code::note(
    "D025",
    "seams of bend and run may lie above each other",
    "Inner layers of an elbow reach into the run, beneath the run's next layers. Seams of runs are given by the \
     clock, those of elbows lie at throat or heel, and a takeoff does not say which way a bend turns. Where it turns so \
     that the two lie closer than the stagger, turn the layers on site. Runs whose first seam is at 45 degrees keep \
     clear of throat and heel of bends that turn level or upright, where an eighth of the girth is a stagger.",
);
/// Seams of an elbow's layers above each other.
pub const ELBOW_SEAMS: Code = Code::note(
    "D018",
    "seams of an elbow's layers above each other",
    "An elbow in one piece can only close at the throat, so its layers have their seams there; \
     with alternating seams, half of each gore's seam lies over a seam. Gores of insulation thicker than the bend \
     leaves room for begin and end at the throat, so that where they are cut into parts round, these have their \
     seams in the same places in all such layers. The mitre joints of neighbouring layers are half a gore apart \
     all the same.",
);
/// A cover longer than its fitting.
pub const LONGER_COVER: Code = Code::warning(
    "D019",
    "cover longer than its fitting",
    "Insulation this thick makes the hole for the branch reach the ends of the run's cover, or the \
     saddle the top of the branch's. The cover is made longer; the runs that name the fitting as \
     their end are shortened, others must be cut back on site.",
);
/// Several turns from one piece.
pub const WOUND: Code = Code::note(
    "D020",
    "layers wound from one piece",
    "The rules have neighbouring layers of one thickness wound from one piece on small pipe. Such \
     layers share their joints along the pipe and have one seam; elbows at their ends do not reach \
     into the run. Not for work whose specification asks for staggered joints in every layer.",
);
/// A run and what it ends at differ in build.
pub const BUILDS_DIFFER: Code = Code::warning(
    "D021",
    "neighbours differ in build",
    "A run names an item as its end that has other layers, so their covers meet in a step, or joints of \
     layers cannot be staggered. Correct one of the two builds; where the insulation really changes \
     there, the step is closed on site. Covers of flanges and valves are fitted to the runs' insulation \
     by themselves, unless one line stands for several that meet different runs: give each a line.",
);
/// A cover fitted to insulation that is not the item's own.
pub const FITTED: Code = Code::note(
    "D022",
    "cover fitted to the runs' insulation",
    "The runs that name a flange pair or a valve are not insulated as thick as it is itself. Shoulder \
     strips and end rings are cut for the insulation that is on the pipe; the body has the item's own \
     layers. A side that no run names counts as like the other. Correct the builds if that is not meant.",
);
/// Seams of a head's layers closer than the stagger.
pub const HEAD_STAGGER: Code = Code::warning(
    "D023",
    "joints of a head closer than the stagger",
    "Petals of neighbouring layers are half a petal apart, and their crown discs' edges as far as there is \
     room. No number of petals that the rule [head] petals allows, and no crown, keeps all of them apart by \
     the stagger; the pattern that comes nearest is used. Fewer petals (but their edges are then \
     longer than the head is deep: 3 per cent with twelve, 8 with eight, 14 with six) or a smaller \
     stagger may do.",
);
/// A longer cover for which all runs give way.
pub const RUNS_GIVE_WAY: Code = Code::note(
    "D024",
    "cover longer than its fitting, runs shortened",
    "Insulation this thick makes a tee's cover longer than the tee. All runs that meet it there name it \
     in their ends, and their covers are that much shorter, so that nothing is to be done.",
);
/// Joints of neighbouring layers of a fitting that cannot be moved apart.
pub const STACKED: Code = Code::warning(
    "D070",
    "joints of a fitting's layers above each other",
    "No course with all of the hole of a tee's cover, or of a valve's round its bonnet, fits the rolls, so every \
     layer is parted crosswise at the hole. Offer a wider roll, allow quarter turns where the product's maker \
     does, or tape the joint of the inner layer on site. With a stagger of 0 nothing is said.",
);
/// A flange or valve at which runs are not shortened.
pub const BOLTS_COVERED: Code = Code::warning(
    "D071",
    "no run stops short of a flange's bolts",
    "A run stops short of a flange or valve, so that the bolts can be drawn, where it names it in its ends. Of this one \
     fewer sides are named than it has, so runs that meet it there, if any, are cut to their whole length, and its \
     shoulders and end rings are fitted to pipe that is insulated like itself. Name it in the ends of its runs. Where another \
     fitting is welded to it, that fitting's cover begins at the weld, which often lies nearer to the flange's back than the \
     bolts are long: there both covers are cut back on site. A pair of which one side is a lid, such as a manway, is of type `blind`.",
);
/// A run that parts at support rings.
pub const AT_RINGS: Code = Code::note(
    "D072",
    "all layers part at support rings",
    "An upright run or shell that is longer than vertical.ring_spacing is taken to have support rings, at even distances, \
     and all layers part at each. Where the rings stand otherwise, give the stretches between them as runs of their \
     own; where there are none, raise vertical.ring_spacing.",
);
/// A cover round a branch in courses.
pub const COVER_IN_COURSES: Code = Code::note(
    "D073",
    "cover round a branch in courses",
    "A cover of a tee or of a valve round its bonnet is wider than the rolls, so it is laid in courses: of the branch \
     or the bonnet the lowest has the saddle and ends above it, of the run or the body one or two have the hole, and \
     all others are plain rings. Joints of neighbouring layers are staggered as along a run. A wider roll would do \
     with fewer pieces.",
);
/// Covers of flanges or valves that lie on more of a run than there is.
pub const CROWDED: Code = Code::warning(
    "D060",
    "run shorter than the covers on it",
    "The cover of a flange pair or valve goes over the run beside it: the room to draw the bolts, the overlap on \
     its insulation, and an end ring. This run is shorter than what lies on it, so covers would lie in each \
     other's place, or on what comes after the run. Check the run's length; where it is right, cut the covers \
     back on site so that they butt, without end rings between them, or make one cover over both by hand.",
);
