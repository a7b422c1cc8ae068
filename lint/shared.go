package lint

import (
	"sync"

	"sewable/lang/block"
	"sewable/lang/sew"
)

// shared is what the rules of one file work out once for all of them.
type shared struct {
	sync.Mutex
	analyse func(*block.Block) *sew.Block
	sewing  map[*block.Block]*sew.Block
	used    map[*block.Named]bool
}

// Sewing is how a block is sewn: its divisions, seams, orders and joins.
func (p *Pass) Sewing(b *block.Block) *sew.Block {
	p.shared.Lock()
	defer p.shared.Unlock()
	s, ok := p.shared.sewing[b]
	if !ok {
		if p.shared.sewing == nil {
			p.shared.sewing = map[*block.Block]*sew.Block{}
		}
		s = p.shared.analyse(b)
		p.shared.sewing[b] = s
	}
	return s
}

// Used reports whether anything in the file refers to a named thing.
func (p *Pass) Used(n *block.Named) bool {
	p.shared.Lock()
	defer p.shared.Unlock()
	if p.shared.used == nil {
		p.shared.used = map[*block.Named]bool{}
		for _, r := range p.File.References {
			p.shared.used[r.To] = true
		}
	}
	return p.shared.used[n]
}
