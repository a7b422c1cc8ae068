//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"sewable/lint/linttest"
)

// BenchmarkUnchanged is the command from start to end, in a repository of 10,000 blocks of
// 30 patches: without a cache, making one, with nothing changed since, and with one file changed. Aim: 0.3 s
// when nothing changed.
func BenchmarkUnchanged(b *testing.B) {
	program := filepath.Join(b.TempDir(), "sewable")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, string(out))
	dir, kept := b.TempDir(), b.TempDir()
	require.NoError(b, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	write := func(name, text string) {
		require.NoError(b, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	write(linttest.PaletteName, linttest.Palette)
	for seed := range uint64(10_000) {
		write(fmt.Sprintf("drift-%05d.block", seed), linttest.GenerateBlock(seed, 30))
	}
	time.Sleep(3 * time.Second) // until what the file system says of the files can be trusted
	run := func(b *testing.B, before func(), args ...string) {
		var cpu time.Duration
		var peak int64
		var printed bytes.Buffer
		for b.Loop() {
			b.StopTimer()
			before()
			printed.Reset()
			c := exec.Command(program, append([]string{"lint", "--cache", kept}, args...)...)
			c.Dir, c.Stdout = dir, &printed
			b.StartTimer()
			err := c.Run()
			b.StopTimer()
			require.NoError(b, err)
			cpu += c.ProcessState.UserTime() + c.ProcessState.SystemTime()
			if u, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
				peak = max(peak, u.Maxrss)
			}
			b.StartTimer()
		}
		b.ReportMetric(cpu.Seconds()/float64(b.N), "cpu-s/op")
		b.ReportMetric(float64(peak)/1000, "peak-MB")
		b.ReportMetric(float64(printed.Len())/1e6, "printed-MB")
	}
	empty := func() { require.NoError(b, os.RemoveAll(kept)) }
	b.Run("without", func(b *testing.B) { run(b, empty, "--no-cache") })
	b.Run("first", func(b *testing.B) { run(b, empty) })
	b.Run("unchanged", func(b *testing.B) { run(b, func() {}) })
	b.Run("unchanged, errors alone", func(b *testing.B) { run(b, func() {}, "--level", "error") })
	n := uint64(0)
	b.Run("one changed", func(b *testing.B) {
		run(b, func() { n++; write("drift-00000.block", linttest.GenerateBlock(20_000+n, 30)) })
	})
}
