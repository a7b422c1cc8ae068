package rules

// together puts n things into groups: two that are alike are in one, and so are those that
// others link. Groups and things come in order of the first.
func together(n int, alike func(i, j int) bool) [][]int {
	var groups [][]int
	taken := make([]bool, n)
	for i := range n {
		if taken[i] {
			continue
		}
		taken[i] = true
		group := []int{i}
		for k := 0; k < len(group); k++ {
			for j := range n {
				if !taken[j] && alike(group[k], j) {
					taken[j] = true
					group = append(group, j)
				}
			}
		}
		groups = append(groups, group)
	}
	return groups
}
