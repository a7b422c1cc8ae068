package rules

import (
	"sewable/lang/cloth"
	"sewable/lang/syntax"
	"sewable/lint"
)

var turnedPrint = &lint.Rule{
	Name:  "turned-print",
	Level: lint.Warning,
	Title: "A triangle cut from a square of a directional print",
	Why: `A square cut diagonally gives triangles whose print runs two ways, and a square cut twice
diagonally four: most of them cannot be upright in the block. A rectangle of a directional print
is cut so that it is, at the seam's angle where the seam slants.`,
	Bad: `
fabric sky
fabric reeds directional

block "Bank" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (4, 0) (0, 4)
    patch 2 reeds (4, 0) (4, 4) (0, 4) cut square 6 halved
  }
}
`,
	Good: `
fabric sky
fabric reeds directional

block "Bank" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (4, 0) (0, 4)
    patch 2 reeds (4, 0) (4, 4) (0, 4) cut 6 1/2 by 3 1/2
  }
}
`,
	Since: "0.2",
	Run: func(p *lint.Pass) {
		eachCut(p, func(piece *cloth.PlacedPiece) {
			if piece.Own.Form.PerSquare() == 1 || piece.Fabric == nil || !piece.Fabric.Directional {
				return
			}
			covers := piece.Ways().Rectangle
			larger := typedCut(p, syntax.CutRectangle, covers.Along, covers.Across)
			p.Report(piece.CutAt(), "The piece for %s is a triangle cut from a square, which does not keep the print of %s upright. Cut a rectangle: `%s` covers",
				lint.Label(piece.Patch), piece.Fabric.Name, larger).Patch(piece.Patch).
				Suggest("Change it to a rectangle, which keeps the print upright", lint.Replace(piece.CutAt(), larger))
		})
	},
}
