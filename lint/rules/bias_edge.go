package rules

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

var biasEdge = &lint.Rule{
	Name:  "bias-edge",
	Level: lint.Off,
	Title: "An outer edge of the block off the straight grain",
	Why: `Fabric stretches on the bias. An outer edge off the grain stretches with every handling until
the block is joined, and then the block is no longer square. Common practice is to cut outer
edges along the grain; with grain = "outer" in sewable.toml the cut list does so, and this rule
reports the edges that remain on the bias.`,
	Bad: `
fabric sky
fabric water

block "Slope" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 4) (2, 4) (0, 2)
    patch 2 sky (0, 2) (2, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run:   biasEdges,
}

// offGrain is the angle, in degrees, up to which an edge still counts as on the grain.
const offGrain = 2

func biasEdges(p *lint.Pass) {
	for b := range blocks(p) {
		said := map[*block.Patch]bool{}
		for _, s := range b.Sections {
			if !s.InOrder() {
				continue
			}
			grain := map[*block.Patch]geom.Point{s.Of.Patches[0]: cloth.LongestEdge(s.Of.Patches[0].Corners).Dir()}
			for _, seam := range s.Seams() {
				grain[seam.Patch] = seam.Dir()
			}
			for _, patch := range s.Of.Patches {
				original := originalPatch(patch)
				edge, ok := biasOf(p, b, patch, grain[patch])
				if !ok || said[original] {
					continue
				}
				said[original] = true
				p.Report(original.ShapeAt(), "The outer edge of %s from %s to %s is off the straight grain and will stretch. Cut the piece with that edge along the grain",
					lint.Label(patch), p.Point(edge.A), p.Point(edge.B)).Patch(patch).Alone().Line(edge)
			}
		}
	}
}

func originalPatch(patch *block.Patch) *block.Patch {
	for patch.Of != nil {
		patch = patch.Of
	}
	return patch
}

// biasOf is the outer edge of a patch that lies furthest off the grain of its
// piece, when it lies off it.
func biasOf(p *lint.Pass, b *sew.Block, patch *block.Patch, grain geom.Point) (geom.Segment, bool) {
	if p.Settings.Grain == lint.AlongOuter {
		grain = geom.Point{X: 1}
	}
	var worst geom.Segment
	most := float64(offGrain)
	for i := range patch.Corners {
		edge := patch.Corners.Edge(i)
		if !b.Of.Outline.HasAlong(edge) {
			continue
		}
		// Lengthwise and crosswise grain both count as straight.
		angle := math.Abs(math.Atan2(grain.Cross(edge.Dir()), grain.Dot(edge.Dir()))) * 180 / math.Pi
		angle = math.Mod(angle, 90)
		if off := min(angle, 90-angle); off > most {
			worst, most = edge, off
		}
	}
	return worst, most > offGrain
}
