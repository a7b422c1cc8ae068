package lint_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/rules"
)

// Generated blocks can be sewn: no rule finds an error in them, whatever it
// may warn of.
func TestGeneratedBlocksHaveNoErrors(t *testing.T) {
	paths := generate(t, 300, 30)
	result, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules.All})
	require.NoError(t, err)
	require.Empty(t, result.Failures)
	for _, f := range result.Findings {
		if f.Level == lint.Error {
			text, _ := os.ReadFile(f.File)
			t.Fatalf("%s: %s [%s]\n%s", f.Place, f.Message, f.Rule, text)
		}
	}
	section := lint.Text("section.block", linttest.GenerateSection(1, 500), lint.Options{Rules: rules.All})
	require.Zero(t, section.Count(lint.Error))
}

// generate writes so many blocks of so many patches, and the palette they use.
func generate(tb testing.TB, blocks, patches int) []string {
	tb.Helper()
	dir := tb.TempDir()
	require.NoError(tb, os.Mkdir(filepath.Join(dir, ".git"), 0o755)) // a repository of its own
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(tb, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	paths := []string{write(linttest.PaletteName, linttest.Palette)}
	for seed := range uint64(blocks) {
		paths = append(paths, write(fmt.Sprintf("drift-%05d.block", seed), linttest.GenerateBlock(seed, patches)))
	}
	return paths
}

// BenchmarkRepository reads 10,000 blocks of 30 patches from disk and lints
// them with all rules, as one run of the command does. Aim: 2 s on two cores and
// less than 300 MB at the peak, which covers the whole test program.
func BenchmarkRepository(b *testing.B) {
	paths := generate(b, 10_000, 30)
	size := 0
	for _, path := range paths {
		info, err := os.Stat(path)
		require.NoError(b, err)
		size += int(info.Size())
	}
	runtime.GC()
	resetPeak()
	b.ReportAllocs()
	var findings int
	before := cpuTime()
	for b.Loop() {
		result, err := lint.Run(context.Background(), paths, lint.Options{Rules: rules.All})
		require.NoError(b, err)
		findings = len(result.Findings)
	}
	used := (cpuTime() - before) / time.Duration(b.N)
	b.ReportMetric(peakMegabytes(), "peak-MB")
	b.ReportMetric(float64(size)/1e6, "read-MB")
	b.ReportMetric(float64(findings), "findings")
	b.ReportMetric(used.Seconds(), "cpu-s/op")
	b.ReportMetric(100*part(b, paths, parse()).Seconds()/used.Seconds(), "%parse")
	b.ReportMetric(100*part(b, paths, model()).Seconds()/used.Seconds(), "%parse+model")
}

// part is the processor time that a part of the work takes by itself.
func part(b *testing.B, paths []string, work func(path string)) time.Duration {
	b.Helper()
	runtime.GC()
	before := cpuTime()
	for _, path := range paths {
		work(path)
	}
	return cpuTime() - before
}

// parse reads and parses a file.
func parse() func(string) {
	reader := syntax.NewReader()
	return func(path string) {
		text, _ := new(files.Gate).Block(path)
		reader.Parse(source.New(path, text))
	}
}

// model reads, parses and models a file.
func model() func(string) {
	loader := block.NewLoader(syntax.NewReader(), nil)
	return func(path string) { loader.Open(path) }
}

// BenchmarkSection lints one block of a single section. Aim: 150 ms for 5,000
// patches, and at most twelve times the time of 500.
func BenchmarkSection(b *testing.B) {
	for _, patches := range []int{500, 5_000} {
		text := linttest.GenerateSection(1, patches)
		b.Run(strconv.Itoa(patches), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				lint.Text("section.block", text, lint.Options{Rules: rules.All})
			}
		})
	}
}

// resetPeak lets the kernel forget the peak of memory so far (proc(5),
// clear_refs); elsewhere than on Linux it does nothing.
func resetPeak() { _ = os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) }

// peakMegabytes is the most memory that was resident (proc(5), VmHWM), or
// what the runtime took from the system where there is no such file.
func peakMegabytes() float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err == nil {
		for line := range bytes.Lines(status) {
			if rest, ok := bytes.CutPrefix(line, []byte("VmHWM:")); ok {
				if kb, err := strconv.Atoi(string(bytes.Fields(rest)[0])); err == nil {
					return float64(kb) / 1000
				}
			}
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.Sys) / 1e6
}
