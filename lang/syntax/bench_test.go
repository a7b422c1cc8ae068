package syntax

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
)

// randomBlocks writes blocks of 30 patches each with varied numbers: three
// sections, half of their patches with corners, half with `beyond`.
func randomBlocks(n int, seed uint64) string {
	random := rand.New(rand.NewPCG(seed, 1))
	number := func() string {
		switch whole := random.IntN(12); random.IntN(4) {
		case 0:
			return fmt.Sprint(whole)
		case 1:
			return fmt.Sprintf("%d.%d", whole, random.IntN(1000))
		default:
			return fmt.Sprintf("%d %d/%d", whole, 1+random.IntN(31), 32)
		}
	}
	point := func() string { return "(" + number() + ", " + number() + ")" }
	fabrics := []string{"sky", "canvas", "cedar", "water", "sand"}
	var s strings.Builder
	s.WriteString("allowance 1/4\n")
	for b := range n {
		fmt.Fprintf(&s, "\nblock \"Block %d\" 12 by 12 {\n", b)
		for _, name := range []string{"A", "B", "C"} {
			fmt.Fprintf(&s, "  section %s {\n    outline %s %s %s %s\n", name, point(), point(), point(), point())
			for i := 1; i <= 10; i++ {
				fabric := fabrics[random.IntN(len(fabrics))]
				if i%2 == 1 {
					fmt.Fprintf(&s, "    patch %d %s %s %s %s %s\n", i, fabric, point(), point(), point(), point())
				} else {
					fmt.Fprintf(&s, "    patch %d %s beyond %s %s\n", i, fabric, point(), point())
				}
			}
			s.WriteString("  }\n")
		}
		s.WriteString("  join A to B\n  join C to A\n}\n")
	}
	return s.String()
}

// BenchmarkParse reads 1,000 blocks of 30 patches, none of them seen before;
// the figure per statement is what counts.
func BenchmarkParse(b *testing.B) {
	text := randomBlocks(1000, 1)
	statements := 0
	Walk(parse(text).Items, func(item *Item) bool {
		if item.Node != nil {
			statements++
		}
		return true
	})
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		Parse(source.New("x.block", text))
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*statements), "ns/statement")
}

// BenchmarkEdit reads a file of 2,000 lines again after a change of one line.
func BenchmarkEdit(b *testing.B) {
	reader, text := NewEditorReader(), randomBlocks(50, 1)
	reader.Parse(source.New("x.block", text))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		reader.Parse(source.New("x.block", strings.Replace(text, "allowance 1/4", fmt.Sprintf("allowance %d/7", i%1000), 1)))
	}
}

// BenchmarkScan is the splitting alone.
func BenchmarkScan(b *testing.B) {
	text := randomBlocks(1000, 1)
	b.SetBytes(int64(len(text)))
	var pieces []piece
	for b.Loop() {
		pieces = scan(pieces[:0], text)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(pieces)), "ns/line")
}

// The three benchmarks below read the same two patches: by struct tags alone,
// by struct tags with points and numbers that read themselves, and as Parse does.

var benchPatches = []string{"patch 3 sky (1 1/2, 2) (3, 2.25) (3, 5 1/2) (0, 4)", "patch 4 water beyond (1 1/2, 1) (4 1/2, 1)"}

type taggedNumber struct {
	Text string `parser:"@Number"`
	Unit string `parser:"@( 'in' | 'mm' | 'cm' )?"`
}

type taggedFactor struct {
	Minus  bool          `parser:"( @'-'"`
	Factor *taggedFactor `parser:"@@ )"`
	Number *taggedNumber `parser:"| @@"`
	Name   string        `parser:"| @Name"`
	Paren  *taggedSum    `parser:"| '(' @@ ')'"`
}

type taggedProduct struct {
	First taggedFactor `parser:"@@"`
	Rest  []struct {
		Op     string       `parser:"@( '*' | '/' )"`
		Factor taggedFactor `parser:"@@"`
	} `parser:"@@*"`
}

type taggedSum struct {
	First taggedProduct `parser:"@@"`
	Rest  []struct {
		Op      string        `parser:"@( '+' | '-' )"`
		Product taggedProduct `parser:"@@"`
	} `parser:"@@*"`
}

type taggedPoint struct {
	X    *taggedSum     `parser:"( '(' @@"`
	Y    *taggedSum     `parser:"',' @@ ')' )"`
	Mid  []*taggedPoint `parser:"| 'mid' @@ @@"`
	Name string         `parser:"| @Name"`
}

type taggedPatch struct {
	Number  string         `parser:"'patch' @Number?"`
	Fabric  string         `parser:"@Name"`
	Beyond  []*taggedPoint `parser:"( 'beyond' @@ @@?"`
	Around  *taggedPoint   `parser:"| 'around' @@"`
	Corners []*taggedPoint `parser:"| @@ ( ','? @@ )* )"`
}

type halfTaggedPatch struct {
	Number  *Whole  `parser:"'patch' @@?"`
	Fabric  Name    `parser:"@@"`
	Beyond  []Point `parser:"( 'beyond' @@ @@?"`
	Around  Point   `parser:"| 'around' @@"`
	Corners []Point `parser:"| @@ ( ','? @@ )* )"`
}

func BenchmarkPatchTags(b *testing.B)          { benchmarkTags[taggedPatch](b) }
func BenchmarkPatchReadingPoints(b *testing.B) { benchmarkTags[halfTaggedPatch](b) }

func benchmarkTags[T any](b *testing.B) {
	parser, err := participle.Build[T](grammarOptions...)
	require.NoError(b, err)
	var buffer tokens
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		buffer.load(benchPatches[i%2])
		if _, err := parser.ParseFromLexer(buffer.lex); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPatch(b *testing.B) {
	w := new(workbench)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if r := readStatement(w, InSection, benchPatches[i%2]); r.fault != nil {
			b.Fatal(r.fault)
		}
	}
}

// BenchmarkTokens is cutting the same patches into tokens, alone.
func BenchmarkTokens(b *testing.B) {
	var buffer tokens
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		buffer.load(benchPatches[i%2])
		buffer.lex.LoadCheckpoint(lexer.Checkpoint{})
	}
}
