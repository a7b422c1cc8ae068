package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"
)

// result is what was measured of one server, in the order it was.
type result struct {
	order []string
	rows  map[string]*row
}

// row is one figure: times, or a number, or why there is neither.
type row struct {
	times  times
	number float64
	why    string
}

func newResult() *result { return &result{rows: map[string]*row{}} }

func (r *result) row(what string) *row {
	if r.rows[what] == nil {
		r.order = append(r.order, what)
		r.rows[what] = &row{}
	}
	return r.rows[what]
}

func (r *result) took(what string, t times)     { r.row(what).times = t }
func (r *result) number(what string, n float64) { r.row(what).number = n }
func (r *result) nothing(what string, why any)  { r.row(what).why = fmt.Sprint(why) }
func newTable() *tabwriter.Writer               { return tabwriter.NewWriter(os.Stdout, 2, 0, 3, ' ', 0) }
func middle[T cmp.Ordered](list []T) T          { return slices.Sorted(slices.Values(list))[len(list)/2] }

func (r *result) print() {
	table := newTable()
	fmt.Fprintln(table, "what\tp50\tp99\tn")
	for _, what := range r.order {
		switch row := r.rows[what]; {
		case row.why != "":
			fmt.Fprintf(table, "%s\t%s\n", what, row.why)
		case len(row.times) > 0:
			fmt.Fprintf(table, "%s\t%.2f\t%.2f\t%d\n", what, row.times.at(0.5), row.times.at(0.99), len(row.times))
		default:
			fmt.Fprintf(table, "%s\t%.4g\n", what, row.number)
		}
	}
	table.Flush()
}

// compare measures servers by turns. Of each figure it prints the medians over the turns,
// and for every server but the first how many times the first one's it is: of the
// medians of p50 and p99.
func compare(servers []peer, dir string, p plan) error {
	results := make([][]*result, len(servers))
	for turn := range p.turns {
		for i, s := range servers {
			once := p
			once.files = 0
			if turn > 0 {
				once.edits = 0
			}
			r, err := measure(s, filepath.Join(dir, fmt.Sprint(turn, i)), once)
			if err != nil {
				fmt.Printf("turn %d, %v: %v\n", turn+1, s.command, err)
			}
			results[i] = append(results[i], r)
		}
	}
	table := newTable()
	fmt.Fprint(table, "what")
	for i, s := range servers {
		fmt.Fprintf(table, "\t%s, %s", filepath.Base(s.command[0]), s.as)
		if i > 0 {
			fmt.Fprint(table, "\ttimes")
		}
	}
	fmt.Fprintln(table)
	for _, what := range results[0][0].order {
		fmt.Fprint(table, what)
		mine, _ := figure(results[0], what)
		for i := range servers {
			of, text := figure(results[i], what)
			fmt.Fprint(table, "\t", text)
			switch {
			case i == 0:
			case len(of) == 0 || len(mine) == 0:
				fmt.Fprint(table, "\t")
			case len(of) == 1:
				fmt.Fprintf(table, "\t%.1f", of[0]/mine[0])
			default:
				fmt.Fprintf(table, "\t%.1f %.1f", of[0]/mine[0], of[1]/mine[1])
			}
		}
		fmt.Fprintln(table)
	}
	return table.Flush()
}

// figure is the median over the turns of one server: p50 and p99, or a number.
func figure(turns []*result, what string) (of []float64, text string) {
	var p50, p99 []float64
	for _, r := range turns {
		row := r.rows[what]
		switch {
		case row == nil || row.why != "":
		case len(row.times) > 0:
			p50, p99 = append(p50, row.times.at(0.5)), append(p99, row.times.at(0.99))
		default:
			p50 = append(p50, row.number)
		}
	}
	switch {
	case len(p50) == 0:
		return nil, "-"
	case len(p99) == 0:
		return []float64{middle(p50)}, fmt.Sprintf("%.4g", middle(p50))
	}
	return []float64{middle(p50), middle(p99)}, fmt.Sprintf("%.2f %.2f", middle(p50), middle(p99))
}
