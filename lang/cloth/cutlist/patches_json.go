package cutlist

import (
	"io"
	"math"

	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/visible"
)

// PatchesVersion is the version of the form that PatchesJSON writes.
const PatchesVersion = 1

// PatchesJSON writes the same as Patches as one JSON object. Lengths are numbers in the unit given
// as "unit", areas in its square, angles in degrees; places are the block's, [x, y]. The faults say why it cannot be sewn.
func PatchesJSON(out io.Writer, blocks []BlockPatches, faults []string, unit geom.Unit) error {
	u := scale(unit)
	doc := patchesDoc{Version: PatchesVersion, Unit: unit.String(), Faults: faults, Blocks: make([]patchesOf, 0, len(blocks)), Caution: Caution}
	for _, b := range blocks {
		one := patchesOf{Block: b.Block, Mirrored: b.At.Mirrored, Turned: b.At.Turned, Patches: make([]placedJSON, 0, len(b.Patches))}
		if c := b.At.Colourway; c != nil {
			one.Way = c.Name
		}
		for _, p := range b.Patches {
			one.Patches = append(one.Patches, u.placed(p))
		}
		doc.Blocks = append(doc.Blocks, one)
	}
	return visible.JSON(out, doc)
}

type patchesDoc struct {
	Version int         `json:"version"`
	Unit    string      `json:"unit"`
	Faults  []string    `json:"cannotBeSewn,omitempty"` // why, in sentences
	Blocks  []patchesOf `json:"blocks"`
	Caution string      `json:"caution"`
}

type patchesOf struct {
	Block    string       `json:"block"`
	Way      string       `json:"colorway"`
	Mirrored bool         `json:"mirrored"`
	Turned   float64      `json:"turned"` // anticlockwise in the quilt, of blocks with a print that is kept upright
	Patches  []placedJSON `json:"patches"`
}

type point [2]float64

type placedJSON struct {
	Label    string     `json:"label"`
	Fabric   string     `json:"fabric"`
	Title    string     `json:"title"`
	Sewn     bool       `json:"sewn"`           // it has a seam
	Seam     *[2]point  `json:"seam,omitempty"` // what it is sewn on
	Line     *[2]point  `json:"line,omitempty"` // what is seen of it on the foundation
	Corners  []point    `json:"corners"`
	Along    float64    `json:"finishedAlong"`
	Across   float64    `json:"finishedAcross"`
	Area     float64    `json:"finishedArea"`
	Cut      offerJSON  `json:"cut"`
	Designer bool       `json:"designersCut"`
	Extra    float64    `json:"extraCloth"` // more than the rectangle along the seam takes
	Ways     []wayJSON  `json:"otherWays"`
	Shaped   float64    `json:"shapedArea"` // with the allowance all round, mitred
	Margins  []edgeJSON `json:"margins"`
}

type offerJSON struct {
	Size   string     `json:"size"`
	Form   string     `json:"form"`
	Along  float64    `json:"along"`
	Across float64    `json:"across"`
	Keeps  bool       `json:"keepsDirection"`
	Slant  *slantJSON `json:"slant,omitempty"`
	Cloth  float64    `json:"cloth"`
	Spare  float64    `json:"spare"`
	Worst  float64    `json:"spareAtWorst"`
	Way    string     `json:"laid"`
	Lie    string     `json:"sidesRun,omitempty"` // of a first piece, where it matters
	Edge   float64    `json:"edgeToSeam,omitempty"`
	Past   float64    `json:"edgePastLine,omitempty"`
	Center bool       `json:"centeredOnLine"`
	Reach  *reachJSON `json:"reach,omitempty"`
	OnLine float64    `json:"edgeIfOnLine,omitempty"`
	Patch  float64    `json:"edgeIfByPatch,omitempty"`
	Marks  *[3]point  `json:"marks,omitempty"` // one end of the edge, its middle, the other end, on the line
	Before []point    `json:"before,omitempty"`
	After  []point    `json:"after"`
}

type slantJSON struct {
	Along  float64 `json:"along"`
	Across float64 `json:"across"`
	Angle  float64 `json:"angle"` // of the edge to the seam to the level of the print, rising to the right
}

type reachJSON struct {
	End     string  `json:"end"` // as seen on the blank side of the foundation
	Breadth string  `json:"breadth"`
	Called  string  `json:"called"` // that end, in the word that is printed
	At      point   `json:"at"`
	By      float64 `json:"by"` // past the end of the line; negative before it
}

type wayJSON struct {
	Name string `json:"name"`
	offerJSON
}

type edgeJSON struct {
	From    point   `json:"from"`
	To      point   `json:"to"`
	Need    float64 `json:"need"`
	Spare   float64 `json:"spare"`
	AtWorst float64 `json:"spareAtWorst"`
}

func (s scale) at(p geom.Point) point { return point{s.of(p.X), s.of(p.Y)} }

func (s scale) points(poly geom.Polygon) []point {
	out := make([]point, len(poly))
	for i, p := range poly {
		out[i] = s.at(p)
	}
	return out
}

func (s scale) area(a float64) float64 {
	h := geom.Unit(s).Hairs()
	return geom.RoundTo(a/h/h, 1e-6)
}

func (s scale) placed(p *cloth.PlacedPiece) placedJSON {
	ways := p.Ways()
	out := placedJSON{
		Label: p.Label, Sewn: p.Seam.Sewn, Corners: s.points(p.Corners),
		Along: s.of(p.Width), Across: s.of(p.Height), Area: s.area(p.Area),
		Cut: s.offer(p, p.Pick), Designer: p.Own != nil, Extra: s.area(p.Extra()),
		Ways: []wayJSON{}, Shaped: s.area(math.Abs(ways.Grown.Area())), Margins: []edgeJSON{},
	}
	if p.Fabric != nil {
		out.Fabric, out.Title = p.Fabric.Name, p.Fabric.Title
	}
	if p.Seam.Sewn {
		out.Seam, out.Line = &[2]point{s.at(p.Seam.A), s.at(p.Seam.B)}, &[2]point{s.at(p.Seam.Line.A), s.at(p.Seam.Line.B)}
	}
	for _, m := range p.Margins(p.Pick) {
		e := p.Corners.Edge(m.Edge)
		out.Margins = append(out.Margins, edgeJSON{s.at(e.A), s.at(e.B), s.of(m.Need), s.of(m.Nominal), s.of(m.Worst)})
	}
	for _, w := range otherWays(p, ways) {
		out.Ways = append(out.Ways, wayJSON{w.name, s.offer(p, *w.offer)})
	}
	return out
}

func (s scale) offer(p *cloth.PlacedPiece, o cloth.Offer) offerJSON {
	w := words{unit: geom.Unit(s)}
	out := offerJSON{
		Size: w.offered(o), Form: o.Form.String(), Along: s.of(o.Along), Across: s.of(o.Across), Keeps: o.Keeps, Cloth: s.area(o.Cloth()),
		Spare: s.of(o.Nominal.Least), Worst: s.of(o.Worst.Least),
		Way: o.Laid.Way.String(), Lie: o.Laid.Lie.String(), Center: o.Laid.Centered, OnLine: s.of(o.OnLine), Patch: s.of(o.OnPatch),
		Before: s.points(p.Before(o)), After: s.points(p.Outline(o)),
	}
	if o.Slant != nil {
		out.Slant = &slantJSON{s.of(o.Slant.Along), s.of(o.Slant.Across), geom.RoundTo(o.Slant.Angle, 1e-6)}
	}
	if a, m, b, ok := p.Marks(o); ok {
		out.Edge, out.Past = s.of(o.Laid.Edge()), s.of(o.Laid.Past)
		out.Marks = &[3]point{s.at(a), s.at(m), s.at(b)}
	}
	if r, ok := p.Reach(o); ok {
		out.Reach = &reachJSON{r.End.String(), r.Breadth.String(), r.Called(), s.at(r.At), s.of(r.By)}
	}
	return out
}
