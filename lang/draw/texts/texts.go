package texts

// Cautions come first on every first page.
const (
	CareTitle = "Safety"
	CareKnife = "Rotary cutters are sharp: close the blade whenever you put it down, and cut away from yourself."
	CareIron  = "Irons get hot: stand the iron on its heel, and unplug it when you leave."
	CarePins  = "Needles and pins prick: take pins out before the needle reaches them, and count them when you are done."
	CareTools = "Fine-point tweezers and seam rippers are sharp: work away from your eyes and hands, and keep them from children."
	CareMaker = "Follow the makers' instructions for your machine, iron and cutter."
)

// Cautions are the usual ones, in this order.
var Cautions = []string{CareKnife, CareIron, CarePins, CareTools, CareMaker}

// What is true of every foundation.
const (
	AdviceTitle  = "Before you sew"
	AdvicePrint  = "Print at 100% (\"actual size\"), without fitting to the page. Measure a printed square before you sew."
	AdviceSides  = "The lines are on the printed side of the paper. The fabric goes on the blank side, so the lines are the mirror image of the finished block."
	AdviceCrease = "Cut the foundations apart, {apart} outside the dashed line. Crease every stitching line first: " +
		"the creases show on the blank side, and the paper tears off along them later."
	AdviceStitch = "Set the stitch length to 1.5 mm (about 17 stitches to the inch). Set a longer stitch if the paper tears away as you sew. Do not backstitch."
	AdvicePaper  = "Leave the paper in until the block is joined to its neighbors."
)

// Advice is what is said before sewing, in this order.
var Advice = []string{AdvicePrint, AdviceSides, AdviceCrease, AdviceStitch, AdvicePaper}

// What the pictures show.
const (
	LegendTitle   = "Reading the pictures"
	LegendRight   = "right side of the fabric"
	LegendWrong   = "wrong side: lighter, with fine lines"
	LegendBlank   = "blank side of the paper"
	LegendPrinted = "printed side of the paper"
	LegendStitch  = "stitches"
	LegendUnder   = "edge of something underneath"
	LegendAsShown = "Pictures marked \"printed side\" look at the lines, as you do when you stitch. All others look at the fabric."
	OnPrinted     = "{move} · printed side"
)

// The moves of a first patch.
const (
	TitleLight = "Hold to the light"
	Light      = "Place {fabric} on the blank side of the paper, right side up, and center it on {patch}. Hold it to the light: " +
		"it must reach {allowance} past {patch} on every side. Secure it with a dab of washable glue."
	TitleLightPrinted = "Check through the paper"
	LightPrinted      = "From the printed side the light shows the fabric through the paper: {allowance} of it all around {patch}."
)

// The moves of every other patch, in full.
const (
	TitleFold = "Card and fold"
	Fold      = "Lay a card on the printed side, its edge on the line that {patch} shares with {on}. Fold the paper back over the card."
	FoldLoose = " Where stitches cross the fold, pull the paper free of them first."
	TitleTrim = "Trim"
	Trim      = "Lay the ruler's {allowance} line on the fold. Trim the fabric {allowance} past the fold, and leave the paper whole."
	TitleLay  = "Place"
	Lay       = "Turn the work over. Place {fabric} right sides together on {on}, its {edge} on the trimmed edge. {where}"
	TitleTest = "Flip test"
	Test      = "Unfold the paper. Pin along the line and flip it open: it must cover {patch} and {allowance} all around. " +
		"Flip it back, and move the pin at least {clear} away from the line."
	TitleSew  = "Stitch"
	Sew       = "Turn the work over. Stitch on the line from the printed side, {past}. Take the pin out before the needle reaches it."
	TitleBack = "The same, fabric side"
	Back      = "The stitches hold {fabric} on {on}."
	TitleOpen = "Open and press"
	Open      = "Flip {fabric} open over {patch} and press it dry: steam curls paper."
	TitleDone = "The same"
	Done      = "{patch} is covered, with {allowance} or more past its other edges."
)

// The moves of every other patch, in few words, with a picture each.
const (
	TitleFolded  = "Fold"
	ShortFold    = "Fold the paper back on the line that {patch} shares with {on}. Trim {allowance} past the fold."
	ShortLay     = "Right sides together on {on}, {edge} on the trimmed edge. {where}"
	ShortTest    = "Unfold the paper. Pin and flip open: does it cover {patch} plus {allowance} all around? Flip back, move the pin off the line."
	ShortSew     = "Turn over. Stitch on the line from the printed side, {past}. Take the pin out before the needle reaches it."
	ShortOpen    = "Flip open and press."
	LayFrame     = ", as you lay it, fabric side up"
	LayCentered  = "Center it on the line."
	LayReach     = "Let it reach {reach} past the {end} end of the line{frame}."
	LayStop      = "Let it stop {reach} before the {end} end of the line{frame}."
	LayEven      = "Let it end with the {end} end of the line{frame}."
	LayUpright   = "The print must be upright after you flip it open: place its top {way}."
	LayUpOn      = "toward {on}"
	LayUpOff     = "away from {on}"
	LayUpEnd     = "toward the {end} end of the line"
	LayOverEdge  = "Its edge goes {far} past the line, not {allowance}: {patch} reaches past the end of its seam."
	PastBoth     = "{past} past both ends"
	PastOuter    = "to the edge of the paper at both ends"
	PastOneOuter = "to the edge of the paper at the outer end, and {past} past the line at the other"
)

// A print that is kept upright on a slanted seam, laid without an edge to guide it.
const (
	TitleCrease = "Place, fold, crease"
	Crease      = "Unfold the paper and turn the work over. Place {fabric} right side up over {patch}, the print's top toward the arrow, centered against the light. " +
		"Fold it under along the line and crease it."
	TitlePinned = "Flip and pin"
	CreasePin   = "Flip it back on the crease, right sides together on {on}, and pin it along the line."
	CreaseTest  = "Flip it open again: it must cover {patch} and {allowance} all around. Flip it back, and move the pin at least {clear} away from the line."
	CreaseSew   = "Turn the work over. Stitch in the crease, on the line, from the printed side, {past}. Take the pin out before the needle reaches it."
	CreaseOpen  = "Fold the paper out of the way and trim the seam to {allowance}. Flip {fabric} open over {patch} and press it dry: steam curls paper."
	CreaseShort = "Fold the paper out of the way and trim the seam to {allowance}. Flip open and press."
	CutAtAngle  = "That edge is cut at an angle."
)

// Sizes.
const (
	Size         = "{x} × {y}"
	SizeUpright  = "{x} wide, {y} up the print"
	SizeSquare   = "{side} square"
	SizeHalf     = "half-square triangle, from a {side} square cut once diagonally"
	SizeQuarter  = "quarter-square triangle, from a {side} square cut twice diagonally"
	SizeSlanted  = "{size}, and from it {piece}, its {edge} at {angle} to the level of the print, {way}"
	EdgeOf       = "{size} edge"
	EdgeOfSquare = "edge"
	Rising       = "rising to the right"
	Falling      = "falling to the right"
)

// What is said of a patch that has no seam.
const NoSeam = "{patch} cannot be sewn on here in one straight seam."

// How a first piece is turned, where that matters.
const (
	TurnSquare   = "Keep its edges square with the block: along the grain arrow and across it."
	TurnLong     = "Turn it so that its {size} edge runs along the longest edge of {patch}."
	TurnSide     = "Turn it so that one edge runs along the longest edge of {patch}."
	TurnTriangle = "Turn it so that its long edge runs along the longest edge of {patch}."
	TurnUpright  = "Keep the print upright: its top toward the grain arrow."
)

// A step in a sentence, for where there are no pictures.
const (
	SentenceFirst = "Place {fabric} on the blank side of the paper, right side up, centered on {patch}. Hold it to the light: " +
		"it must reach {allowance} past {patch} on every side. Secure it with a dab of washable glue."
	SentenceNext = "Fold the paper back on the line that {patch} shares with {on}, and trim {allowance} past the fold. " +
		"Place {fabric} right sides together, its {edge} on the trimmed edge. {where} " +
		"Unfold the paper, pin, flip open to test, and flip it back. Turn over. Stitch on the line from the printed side, {past}. Flip open and press."
	SentenceUpright = "Fold the paper back on the line that {patch} shares with {on}, and trim {allowance} past the fold. " +
		"Unfold the paper and turn the work over. Place {fabric} right side up over {patch}, the print's top toward the arrow, centered against the light; " +
		"fold it under along the line, crease it, flip it back, pin and test. " +
		"Turn over. Stitch in the crease from the printed side, {past}. Fold the paper out of the way, trim the seam to {allowance}, flip open and press."
)

// The edges of a piece, as one says which one goes to the seam.
const (
	EdgeLong     = "long edge ({size})"
	EdgeShort    = "short edge ({size})"
	EdgeSquare   = "edge"
	EdgeTriangle = "long edge"
	EdgeSlanted  = "slanted edge"
)

// Ends are the ends of a line as one sees them who looks at the fabric side.
var Ends = map[string]string{"upper": "upper", "lower": "lower", "left": "left", "right": "right", "wide": "wide", "narrow": "narrow"}

// When a section is sewn.
const (
	TitleFinish   = "Trim section {section}"
	TitleBaste    = "Baste"
	Baste         = "Baste around the section inside the allowance, {baste} outside the solid outer line, so that nothing shifts."
	TitleCut      = "Trim"
	TitleBasteCut = "Baste and trim"
	Cut           = "Lay the ruler's {allowance} line on the solid outer line and cut, on every side."
	CutOuter      = "Lay the ruler's {allowance} line on the solid outer line and cut; on the edges of the block its {outer} line."
	CutSize       = "Trimmed, section {section} measures {unfinished} ({finished} finished){about}."
	CutWidest     = "Trimmed, section {section} measures {unfinished} at its widest ({finished} finished){about}."
	CutAbout      = "; trim on the line, not to this figure"
	About         = "about {figure}"
	JogSewn       = "Section {section} has {jogs} in its outline ({sizes}). Cut along each step, never straight across: what is cut off there is missing in the join."
	JogAtJoin     = "The edge of {section} has a step of {size} here. Match it first, and sew each side of it to its own line."
	JogAtBoth     = "The edges of {section} have a step of {size} here. Match it first, and sew each side of it to its own line."
	JogOnPaper    = "step: do not cut across"
	JogCautious   = "Cut along the step."
	BriefFinish   = "Baste, then trim {allowance} outside the solid outer line."
	BriefFinish2  = "Baste, then trim {allowance} outside the solid outer line, {outer} on the edges of the block."
)

// Joins.
const (
	TitleJoins   = "Join the sections"
	TitlePin     = "Pin"
	Pin          = "Right sides together, paper outside. Push an upright pin through both layers at {match}; then pin across the line beside each one, and take the upright pins out."
	PinEnds      = "each end"
	PinMatch     = "each end and at each match point"
	PinPart      = "{from} and at {stop}"
	TitleJoined  = "Joined"
	JoinSew      = "Stitch on the line, then {press}. Trim the dog-ears, and remove the paper from this allowance only."
	BriefPin     = "Pin at {match}, right sides together, and stitch on the line; then {press}. Trim the dog-ears, and remove the paper from this allowance only."
	TitlePinSew  = "Pin, stitch, press"
	TitleSewJoin = "Stitch and press"
	PressOpen    = "press the seam open"
	PressToward  = "press the seam toward {section}"
)

// Joins in sentences.
const (
	Join          = "Sew {a} to {b}, right sides together: {length}."
	JoinPlain     = "Sew {a} to {b}, right sides together."
	JoinPart      = "Sew {a} to {b}, right sides together, along part of their edge only: from {from} to {stop} ({length}); leave the rest open."
	JoinPart2     = " Join {step} finishes it."
	JoinFinish    = "Finish the seam between {a} and {b} that was left open."
	JoinSetIn     = " Set-in seam (Y-seam): every seam that ends at the corner stops {allowance} from the edge. Clip the inner corner to the end of the seam allowance. Sew from the corner outward, twice."
	JoinSetInMany = " Set-in seam (Y-seam) of {sides} sides: every seam that ends at a corner stops {allowance} from the edge. Clip each inner corner to the end of the seam allowance. Sew each side by itself."
	TitlePinSide  = "Pin side {side}"
	PinOfSide     = " of side 1"
	TurnToSide    = "Turn the work at the corner until the next edges lie together, and fold what is sewn out of the way."
	PinNext       = TurnToSide + " Pin them the same way."
	TitleSewSide  = "Stitch side {side}"
	SewSide       = "Stitch this side on the line, {way}."
	SewOutward    = "from the corner outward"
	SewBetween    = "from corner to corner"
	BriefSide     = "Pin this side at {match}, right sides together. Stitch it on the line, {way}."
	SidesPress    = "Then {press}. Trim the dog-ears, and remove the paper from this allowance only."
	JoinStop      = " Stop {allowance} from the edge at the corner where join {step} is set in."
	PartEdge      = "the block's edge"
	PartOuter     = "the outer end"
	PartMiddle    = "the middle"
	MatchEnds     = " Match the ends."
	MatchMore     = " Match {list}."
	TheEnds       = "the ends"
	MatchSeam     = "the seam intersection"
	MatchSeams    = "the {count} seam intersections"
	MatchNotch    = "the notch"
	MatchNotches  = "the notches"
	MatchNamed    = "the notch “{name}”"
	MatchAlike    = "the notches marked “{name}”"
	SayOpen       = " Press the seam open."
	SayToward     = " Press the seam toward {section}."
	NoJoins       = "No join is written, so the sections cannot be sewn together."
	NoJoinTo      = "No join reaches {section}, so the block cannot be sewn together."
	NotFilled     = "The sections do not fill the block once, so they cannot be joined."
	NoneFound     = "These sections cannot be sewn together as they are written: no order of the joins was found in {tries} tries. In the written order, {joins} cannot be sewn."
	NoOrder       = "These sections cannot be sewn together: no order of the written joins works. In the written order, {joins} cannot be sewn."
	JoinPair      = "{a} to {b}"
	FinishPair    = "finish the seam: {a} to {b}"
)

// The last moves.
const (
	TitleLast     = "Finish the block"
	TitleMeasure  = "Measure"
	TitlePaper    = "Remove the paper"
	MeasureBlock  = "Measure the block before the paper comes out: {unfinished} unfinished, {finished} finished."
	MeasureOff    = "Paper stretches and shrinks a little: go by your ruler, not by the print."
	PaperOut      = "Remove the paper when the block is joined to its neighbors. Begin in the middle: crease along the stitches, hold them with a thumbnail and tear along the line. A damp sponge helps."
	PaperTweezers = "Use tweezers for the corners."
)

// The sheets.
const (
	CutEdge    = "{patch} with its {edge} edge to the seam"
	CutCount   = "Cut {count}: {size} ({uses})"
	CutUpright = ". Keep the print upright"
	CutFabric  = "{fabric}: {buy} ({width} usable width)"

	SheetFault       = "Cannot be sewn."
	SheetReach       = "No room for marks for {patch}. {where}"
	SheetPast        = "On this sheet, extend its piece {reach} past the {end} end of the line."
	SheetStop        = "On this sheet, stop its piece {reach} before the {end} end of the line."
	SheetEven        = "On this sheet, end its piece with the {end} end of the line."
	SheetGuide       = " (In the guide: its {end} end.)"
	SheetUnnamed     = "{fabric}: {patches}."
	SheetTicks       = "Ticks with a patch's label: where the ends of its piece come on the line; the short tick is the middle. Hold the paper to the light."
	SheetJoin        = "Join {n}: {join}."
	SheetUpright     = "Keep the print of {patches} upright: its top toward the arrow."
	SheetMirrored    = "MIRRORED"
	SheetTurned      = "TURNED {degrees}°"
	TitleMirrored    = "mirrored"
	TitleTurned      = "turned {degrees}°"
	TitleFor         = "{title} ({places})"
	SectionMirrored  = "mirrored copy of {original}"
	SheetEvery       = "every copy"
	SheetFor         = "block {places}"
	SheetForMany     = "blocks {places}"
	SheetNumber      = "page {page} of {pages} · foundations · {times} · {print}"
	SheetOnce        = "print once"
	SheetTimes       = "print {times} times"
	SheetForCopies   = "for {copies} copies: {times}"
	SheetSetOnce     = "The foundations are for {copies} copies: print them once."
	SheetSet         = "The foundations are one set of pages for all {copies} copies: print each page {times} times."
	SheetSpare       = " {count} in it {is} to spare."
	MapTitle         = "Where it goes"
	MapOne           = "Block {places} of {setting}. The blocks are numbered row by row, from the top left."
	MapMany          = "Blocks {places} of {setting}. The blocks are numbered row by row, from the top left."
	SheetPage        = "page {page} of {pages}"
	SheetScale       = "print at 100%"
	SheetMeasure     = "measure me"
	SheetPart        = "Section {section}, part {part} of {parts}."
	SheetPartLeft    = " Place its left dotted line over the right dotted line of part {part}."
	SheetPartUpper   = " Place its upper dotted line over the lower dotted line of part {part}."
	SheetPartCrosses = " Line up the crosses."
	SampleTitle      = "Reading the sheets"
	SampleStitch     = "thin: stitching line"
	SampleOuter      = "thick: outer line, where the section is joined"
	SampleCut        = "dashed: trimming line, {allowance} outside the thick line"
	SampleCutOuter   = "dashed: trimming line, {allowance} outside the thick line, {outer} on the edge of the block"
	SampleMarks      = "match point, and notch"
	SampleGrain      = "straight grain; the arrow points to the top of the block"
	SampleReach      = "where the piece's two ends and its middle come on its line; hold it to the light"
	SampleJog        = "a step in the outline: cut along it, not across"
)

// The guide.
const (
	GuideOf      = "{block}, sewing guide"
	GuideTitle   = "Sewing guide"
	SectionWhole = "The foundation"
	SectionLike  = "Sew section {section} exactly like section {original}. Only the letters differ."
	SectionTurn  = "Sew section {section} exactly like section {original}: turn its paper until both look alike. Only the letters differ."
	StepLike     = "like {patch}"
	SectionOrder = "Sew {order} in this order."
	SectionOne   = "Place {order}."
	SectionTitle = "Section {section}"
	SectionNamed = "Section {section}, {title}"
	FaultEmpty   = "This section has no patches yet."
	FaultFlawed  = "This section cannot be sewn: its patches do not fill it once."
	FaultOrder   = "This section cannot be sewn: no order of its patches works. The patches are shown by their numbers."
	StepTitle    = "{patch}  {fabric}"
	StepNote     = "Note: {note}"
	StepAgain    = "{step}, continued"
	CutPiece     = "cut {piece}"
	JoinTitle    = "{n}. {join}"
	FinishedSize = "{finished} finished, {unfinished} unfinished"
)
