package compare

import (
	"cmp"
	"math"
	"slices"
)

// maxExact is the number of pairs up to which the best assignment is looked
// for; above it, the best pairs are taken first.
const maxExact = 90_000

// assign pairs rows with columns so that the scores add up to the most. A score of 0 or
// less is no pair. It gives the column of each row, or -1, and asks for each score once.
func assign(rows, columns int, score func(i, j int) float64) []int {
	if rows == 0 || columns == 0 {
		return slices.Repeat([]int{-1}, rows)
	}
	if rows*columns > maxExact {
		return greedy(rows, columns, score)
	}
	// The Hungarian method with potentials (Kuhn 1955, in the form of Jonker and
	// Volgenant 1987), over a square of costs, where no pair costs nothing.
	n := max(rows, columns)
	cost := make([][]float64, n)
	for i := range cost {
		cost[i] = make([]float64, n)
		for j := range cost[i] {
			if i < rows && j < columns {
				cost[i][j] = -max(0, score(i, j))
			}
		}
	}
	u, v := make([]float64, n+1), make([]float64, n+1)
	row, way := make([]int, n+1), make([]int, n+1) // by column, from 1; row 0 is none
	for i := 1; i <= n; i++ {
		row[0] = i
		at := 0
		least, used := slices.Repeat([]float64{math.Inf(1)}, n+1), make([]bool, n+1)
		for {
			used[at] = true
			next, delta := 0, math.Inf(1)
			for j := 1; j <= n; j++ {
				if used[j] {
					continue
				}
				if c := cost[row[at]-1][j-1] - u[row[at]] - v[j]; c < least[j] {
					least[j], way[j] = c, at
				}
				if least[j] < delta {
					delta, next = least[j], j
				}
			}
			for j := 0; j <= n; j++ {
				if used[j] {
					u[row[j]] += delta
					v[j] -= delta
				} else {
					least[j] -= delta
				}
			}
			if at = next; row[at] == 0 {
				break
			}
		}
		for at != 0 {
			row[at] = row[way[at]]
			at = way[at]
		}
	}
	out := slices.Repeat([]int{-1}, rows)
	for j := 1; j <= columns; j++ {
		if i := row[j] - 1; i >= 0 && i < rows && cost[i][j-1] < 0 {
			out[i] = j - 1
		}
	}
	return out
}

func greedy(rows, columns int, score func(i, j int) float64) []int {
	type pair struct {
		i, j  int
		score float64
	}
	var pairs []pair
	for i := range rows {
		for j := range columns {
			if s := score(i, j); s > 0 {
				pairs = append(pairs, pair{i, j, s})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.score, a.score) })
	out := slices.Repeat([]int{-1}, rows)
	taken := make([]bool, columns)
	for _, p := range pairs {
		if out[p.i] < 0 && !taken[p.j] {
			out[p.i], taken[p.j] = p.j, true
		}
	}
	return out
}
