package cloth

// strip fills a strip of a height, the leading piece first. It leaves what is
// left of the kinds as it was.
func (p *packer) strip(lead, which, height int, how policy) layout {
	first := p.column(lead, which, height, how)
	p.kinds[lead].left -= first.count
	p.columns(height, how)
	p.kinds[lead].left += first.count
	w := p.kinds[lead].sides[which].w
	chosen := []column{first}
	if !how.rows {
		chosen = append(chosen, p.knapsack(p.width-w)...)
	}

	left := make([]int, len(p.kinds))
	for i := range p.kinds {
		left[i] = p.kinds[i].left
	}
	out := layout{height: height}
	rest := p.width
	for _, c := range chosen { // the pieces that were planned first, so that no filling takes them
		c.count = min(c.count, left[c.kind])
		if c.count == 0 {
			continue
		}
		left[c.kind] -= c.count
		s := p.kinds[c.kind].sides[c.side]
		seg := segment{length: s.w}
		for range c.count {
			seg.rows = append(seg.rows, row{s.h, []run{{c.kind, c.side, 1}}})
		}
		out.segments = append(out.segments, seg)
		rest -= s.w
	}
	for i := range out.segments {
		seg := &out.segments[i]
		used := 0
		for _, r := range seg.rows {
			used += r.height
		}
		seg.rows = append(seg.rows, p.rows(seg.length, height-used, left)...)
	}
	if rows := p.rows(rest, height, left); rows != nil {
		out.segments = append(out.segments, segment{rest, rows})
	}
	return out
}

// columns are the segments that a strip of a height may be filled with.
func (p *packer) columns(height int, how policy) {
	p.cols = p.cols[:0]
	for i := range p.kinds {
		if p.kinds[i].left == 0 {
			continue
		}
		for s := range p.kinds[i].sides {
			if p.kinds[i].sides[s].h <= height {
				p.cols = append(p.cols, p.column(i, s, height, how))
			}
		}
	}
}

// column is as many pieces of a kind as stand above each other in a strip, worth
// their area and what can be had from the cloth above them.
func (p *packer) column(i, which, height int, how policy) column {
	k := &p.kinds[i]
	s := k.sides[which]
	c := column{kind: i, side: which, count: min(height/s.h, k.left)}
	c.value = float64(c.count*s.w*s.h) + 0.9*float64(p.above(i, s.w, height-c.count*s.h))
	if how.r != nil {
		c.value *= 1 + how.noise*(how.r.Float64()-0.5)
	}
	return c
}

// above is about the area that smaller pieces can take of a place above the
// pieces of a column.
func (p *packer) above(not, w, h int) int {
	if h == 0 {
		return 0
	}
	for i := not + 1; i < len(p.kinds); i++ { // smaller ones come later
		k := &p.kinds[i]
		if k.left == 0 {
			continue
		}
		for _, s := range k.sides {
			if s.w <= w && s.h <= h {
				return min(k.left, w/s.w*(h/s.h)) * s.w * s.h
			}
		}
	}
	return 0
}

// knapsack chooses columns that are worth most in a length.
func (p *packer) knapsack(length int) []column {
	value, node, run := p.value[:length+1], p.node[:length+1], p.run[:length+1]
	for x := range value {
		value[x], node[x] = 0, -1
	}
	p.nodes = p.nodes[:0]
	for c, col := range p.cols {
		w := p.kinds[col.kind].sides[col.side].w
		if w > length {
			continue
		}
		most := int32(p.kinds[col.kind].left / col.count)
		for x := range w {
			run[x] = 0
		}
		for x := w; x <= length; x++ {
			run[x] = 0
			if v := value[x-w] + col.value; v > value[x] && run[x-w] < most {
				p.nodes = append(p.nodes, link{int32(c), node[x-w]})
				value[x], node[x], run[x] = v, int32(len(p.nodes)-1), run[x-w]+1
			}
		}
	}
	best := 0
	for x := range value {
		if value[x] > value[best] {
			best = x
		}
	}
	var chosen []column
	for n := node[best]; n >= 0; n = p.nodes[n].next {
		chosen = append(chosen, p.cols[p.nodes[n].column])
	}
	return chosen
}

// rows fills a place with rows of what is left, largest pieces first.
func (p *packer) rows(w, h int, left []int) (rows []row) {
	for i := range p.kinds {
		for left[i] > 0 {
			which := p.lying(i, w, h)
			if which < 0 {
				break
			}
			s := p.kinds[i].sides[which]
			n := min(w/s.w, left[i])
			left[i] -= n
			r := row{s.h, []run{{i, which, n}}}
			rest := w - n*s.w
			for j := i + 1; j < len(p.kinds) && rest > 0; j++ { // beside them, no higher than they are
				if left[j] == 0 {
					continue
				}
				if at := p.lying(j, rest, s.h); at >= 0 {
					t := p.kinds[j].sides[at]
					m := min(rest/t.w, left[j])
					left[j] -= m
					rest -= m * t.w
					r.runs = append(r.runs, run{j, at, m})
				}
			}
			rows = append(rows, r)
			h -= s.h
		}
		if h == 0 {
			break
		}
	}
	return rows
}

// lying is the way a piece fills most of a place; -1 when it does not fit.
func (p *packer) lying(kind, w, h int) int {
	best, most := -1, 0
	for i, s := range p.kinds[kind].sides {
		if s.w <= w && s.h <= h {
			if n := w / s.w * s.w * s.h; n > most {
				best, most = i, n
			}
		}
	}
	return best
}

// finish writes a plan in true lengths, equal things together, the widest
// strips first as they are cut.
func (p *packer) finish(plan []layout) Plan {
	out := Plan{Width: p.cutter.Width}
	for _, l := range plan {
		s := PlanStrip{Count: l.count}
		for _, g := range l.segments {
			seg := p.segment(g)
			s.Height = max(s.Height, seg.height())
			s.Segments = appendSegment(s.Segments, seg)
		}
		out.Strips = appendStrip(out.Strips, s)
	}
	sortStrips(out.Strips)
	return out
}

func (p *packer) segment(g segment) Segment {
	seg := Segment{Count: 1}
	for _, r := range g.rows {
		one := Row{Count: 1}
		length := 0.0
		for _, u := range r.runs {
			k := p.kinds[u.kind]
			w := p.wanted[k.ref]
			run := Run{k.ref, k.sides[u.side].turned, u.count}
			one.Runs = append(one.Runs, run)
			one.Height = max(one.Height, run.height(w))
			length += run.width(w) * float64(u.count)
		}
		seg.Length = max(seg.Length, length)
		seg.Rows = appendRow(seg.Rows, one)
	}
	return seg
}
