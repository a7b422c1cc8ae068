package cutlist

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/cloth"
)

// CSV writes a list as a table (RFC 4180), a row for each run of equal pieces:
// so many strips, from each so many segments, in each so many rows, in each so many
// pieces. What takes the whole width of the cloth has no segments. "along" is the edge that goes to the seam
// ("for" says which where pieces of one size go either way), "up the print" what has to run up a print that is kept upright. Lengths are in the unit of the
// unit column. The last column is empty, or says in every row that it cannot be sewn and why, so that the rows can be sorted.
func CSV(out io.Writer, l *cloth.List) error {
	c := csv.NewWriter(out)
	w := words{unit: l.Unit, kits: l.Kits}
	n := strconv.Itoa
	c.Write([]string{"fabric", "title", "usable width", "buy", "unit", "strips", "strip width", "segments", "segment length",
		"rows", "row height", "in a row", "along", "across", "form", "for", "then", "up the print", "warning"})
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		start := []string{guard(f.Fabric.Name), guard(f.Fabric.Title), w.number(f.Width), w.buy(f.Buy), l.Unit.String()}
		row := func(rest ...string) { c.Write(slices.Concat(start, rest, []string{warning(l)})) }
		for _, x := range f.Whole {
			row(n(x.Count), w.number(x.Height), "", "", "", "", "", "", "", x.What, guard(x.Of), "", "")
		}
		for _, s := range f.Plan.Strips {
			for _, g := range s.Segments {
				for _, r := range g.Rows {
					for _, u := range r.Runs {
						p := &f.Pieces[u.Wanted]
						along, across, _ := p.Seamed()
						row(n(s.Count), w.number(s.Height), n(g.Count), w.number(g.Length), n(r.Count), w.number(r.Height),
							n(u.Count), w.number(along), w.number(across), p.Form.String(), guard(w.uses(p)), w.cutting(p), w.up(p))
					}
				}
			}
		}
	}
	c.Flush()
	return c.Error()
}

// up is how far a piece reaches up its print, where that is kept upright.
func (w words) up(p *cloth.Piece) string {
	if !p.Keeps {
		return ""
	}
	return w.number(p.Across)
}

// warning is what the last column of a table says.
func warning(l *cloth.List) string {
	if len(l.Faults) == 0 {
		return ""
	}
	return "CANNOT BE SEWN. " + strings.Join(l.Faults, " ")
}

// LabelsCSV writes a row for each piece, in cutting order. "along" is the edge that goes to the
// seam; "up the print" is the side that runs up a print that is kept upright; "place" is the block's number in its quilt. The last column is that of CSV.
func LabelsCSV(out io.Writer, l *cloth.List) error {
	c := csv.NewWriter(out)
	w := words{unit: l.Unit, kits: l.Kits}
	n := strconv.Itoa
	c.Write([]string{"number", "kit", "block", "colorway", "mirrored", "copy", "label", "fabric", "title", "along", "across", "unit", "form", "turned", "then", "laid", "place", "up the print", "warning"})
	for lab := range l.Labels() {
		mirrored, turned := "", ""
		if lab.Use.Mirrored {
			mirrored = "mirrored"
		}
		if lab.Use.Turned != 0 {
			turned = Turned(lab.Use.Turned)
		}
		place := ""
		if lab.Place > 0 {
			place = n(lab.Place)
		}
		along, across := lab.Sides()
		c.Write([]string{n(lab.Number), n(lab.Kit), guard(lab.Use.Block), guard(lab.Use.Way), mirrored, n(lab.Copy), guard(lab.Use.Label),
			guard(lab.Fabric.Name), guard(lab.Fabric.Title), w.number(along), w.number(across), l.Unit.String(), lab.Piece.Form.String(), turned, w.cutting(lab.Piece), w.lay(lab.Use.Lay, lab.Piece.Form), place, w.up(lab.Piece), warning(l)})
	}
	c.Flush()
	return c.Error()
}

// guard keeps a spreadsheet from taking a designer's words for a formula.
func guard(s string) string {
	if s != "" && (s[0] == '=' || s[0] == '+' || s[0] == '-' || s[0] == '@') {
		return "'" + s
	}
	return s
}
