package cutlist

import (
	"io"
	"math"

	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/visible"
)

// ListVersion is the version of the form that JSON writes. In the first, "colorway" was spelt with a u.
const ListVersion = 2

// JSON writes a list as one JSON object. Lengths are numbers in the unit given
// as "unit".
func JSON(out io.Writer, l *cloth.List) error {
	u := scale(l.Unit)
	doc := document{
		Version: ListVersion, For: title(l), Unit: l.Unit.String(), Kits: l.Kits, Faults: l.Faults, Quilts: make([]quilt, 0), Fabrics: make([]fabric, 0, len(l.Fabrics)),
		Caution: Caution,
	}
	seen := make(map[*cloth.Quilt]int)
	for _, q := range l.Order.Quilts {
		if i, ok := seen[q]; ok {
			doc.Quilts[i].Copies++
			continue
		}
		seen[q] = len(doc.Quilts)
		doc.Quilts = append(doc.Quilts, quiltOf(q, u))
	}
	for i := range l.Fabrics {
		doc.Fabrics = append(doc.Fabrics, fabricOf(&l.Fabrics[i], u))
	}
	return visible.JSON(out, doc)
}

type document struct {
	Version int      `json:"version"`
	For     string   `json:"for"`
	Unit    string   `json:"unit"`
	Kits    int      `json:"kits"`
	Faults  []string `json:"cannotBeSewn,omitempty"` // why, in sentences
	Quilts  []quilt  `json:"quilts"`
	Fabrics []fabric `json:"fabrics"`
	Caution string   `json:"caution"`
}

type quilt struct {
	Name      string      `json:"name"`
	Copies    int         `json:"copies"`
	Width     float64     `json:"width"`
	Height    float64     `json:"height"`
	Batting   *[2]float64 `json:"batting,omitempty"`
	Triangles string      `json:"settingTriangles,omitempty"` // "trade" or "exact"
}

type fabric struct {
	Name     string  `json:"name"`
	Title    string  `json:"title"`
	Width    float64 `json:"width"`
	Assumed  bool    `json:"widthAssumed"`
	Used     float64 `json:"used"`
	Bound    float64 `json:"areaBound"`
	Least    float64 `json:"leastLength"`
	Ends     float64 `json:"ends"` // length that whole ends of strips would fill
	Squaring float64 `json:"squaring"`
	Buy      float64 `json:"buy"`
	BuyText  string  `json:"buyText"`
	Pieces   []piece `json:"pieces"`
	Whole    []whole `json:"whole"`
	Strips   []strip `json:"strips"`
}

type piece struct {
	Size   string     `json:"size"`
	Form   string     `json:"form"`
	Along  float64    `json:"along"`
	Across float64    `json:"across"`
	Keeps  bool       `json:"keepsDirection"`
	Slant  *slantJSON `json:"slant,omitempty"`
	Pieces int        `json:"pieces"`
	Cuts   int        `json:"cuts"`
	Uses   []use      `json:"uses"`
}

type use struct {
	Block    string  `json:"block"`
	Way      string  `json:"colorway"`
	Mirrored bool    `json:"mirrored"`
	Turned   float64 `json:"turned"` // degrees anticlockwise, of prints that are kept upright
	Label    string  `json:"label"`
	Laid     string  `json:"laid"` // as its label says it; empty where there is nothing to say
	Edge     float64 `json:"edgeToSeam,omitempty"`
	First    int     `json:"firstCopy"`
	Count    int     `json:"copies"`
	Places   []int   `json:"blocks,omitempty"` // of a quilt, as one reads them, from 1
}

type whole struct {
	What   string  `json:"what"`
	Of     string  `json:"of"`
	Count  int     `json:"count"`
	Height float64 `json:"height"`
}

type strip struct {
	Height   float64   `json:"height"`
	Count    int       `json:"count"`
	Segments []segment `json:"segments"`
}

type segment struct {
	Length float64 `json:"length"`
	Count  int     `json:"count"`
	Rows   []row   `json:"rows"`
}

type row struct {
	Height float64 `json:"height"`
	Count  int     `json:"count"`
	Runs   []run   `json:"runs"`
}

type run struct {
	Piece  int  `json:"piece"` // index into pieces
	Turned bool `json:"turned"`
	Count  int  `json:"count"`
}

// scale turns hairs into the numbers of a unit.
type scale geom.Unit

func (s scale) of(hairs float64) float64 {
	const fine = 1e6
	return math.Round(hairs/geom.Unit(s).Hairs()*fine) / fine // divided: so a short decimal is written as one
}

func quiltOf(q *cloth.Quilt, u scale) quilt {
	out := quilt{Name: q.Of.Name, Copies: 1, Width: u.of(q.Width), Height: u.of(q.Height)}
	if q.Of.Batting {
		out.Batting = &[2]float64{u.of(q.Width + cloth.BackingMore), u.of(q.Height + cloth.BackingMore)}
	}
	if q.Triangles != nil {
		out.Triangles = "exact"
		if q.Triangles.Trade {
			out.Triangles = "trade"
		}
	}
	return out
}

func fabricOf(f *cloth.FabricList, u scale) fabric {
	w := words{unit: geom.Unit(u)}
	out := fabric{
		Name: f.Fabric.Name, Title: f.Fabric.Title, Width: u.of(f.Width), Assumed: f.Assumed,
		Used: u.of(f.Used), Bound: u.of(f.Bound), Least: u.of(f.Least), Ends: u.of(f.Plan.Ends() / f.Width), Squaring: u.of(f.Squaring),
		Buy: u.of(f.Buy), BuyText: w.buy(f.Buy),
		Pieces: make([]piece, 0, len(f.Pieces)), Whole: make([]whole, 0, len(f.Whole)), Strips: make([]strip, 0, len(f.Plan.Strips)),
	}
	for i := range f.Pieces {
		p := &f.Pieces[i]
		one := piece{Size: w.size(p), Form: p.Form.String(), Along: u.of(p.Along), Across: u.of(p.Across), Keeps: p.Keeps, Pieces: p.Count, Cuts: p.Cuts}
		if s := p.Slant; s != nil {
			one.Slant = &slantJSON{u.of(s.Along), u.of(s.Across), geom.RoundTo(s.Angle, 1e-6)}
		}
		for _, v := range p.Uses {
			one.Uses = append(one.Uses, use{v.Block, v.Way, v.Mirrored, v.Turned, v.Label, w.lay(v.Lay, p.Form), u.of(v.Lay.Edge), v.First, v.Count, v.Places})
		}
		out.Pieces = append(out.Pieces, one)
	}
	for _, x := range f.Whole {
		out.Whole = append(out.Whole, whole{x.What, x.Of, x.Count, u.of(x.Height)})
	}
	for _, s := range f.Plan.Strips {
		one := strip{Height: u.of(s.Height), Count: s.Count}
		for _, g := range s.Segments {
			sg := segment{Length: u.of(g.Length), Count: g.Count}
			for _, r := range g.Rows {
				rw := row{Height: u.of(r.Height), Count: r.Count}
				for _, v := range r.Runs {
					rw.Runs = append(rw.Runs, run{v.Wanted, v.Turned, v.Count})
				}
				sg.Rows = append(sg.Rows, rw)
			}
			one.Segments = append(one.Segments, sg)
		}
		out.Strips = append(out.Strips, one)
	}
	return out
}
