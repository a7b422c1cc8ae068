// Package editors tests what the editors are given by driving the editors themselves,
// without a screen. ci-setup.sh installs them.
package editors

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// missing skips a test that needs what is not installed; in CI that is a failure.
func missing(t *testing.T, what string) {
	t.Helper()
	const mend = "editors/ci-setup.sh installs it"
	if os.Getenv("CI") != "" {
		t.Fatalf("no %s; %s", what, mend)
	}
	t.Skipf("no %s; %s", what, mend)
}

// program is the path of an installed program.
func program(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		missing(t, name)
	}
	return path
}

// node is the path of Node, whose packages must be installed as well.
func node(t *testing.T) string {
	t.Helper()
	if _, err := os.Stat("vscode/node_modules"); err != nil {
		missing(t, "folder editors/vscode/node_modules")
	}
	return program(t, "node")
}

var build = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "sewable")
	if err != nil {
		return "", err
	}
	cmd := exec.Command("go", "build", "-o", filepath.Join(dir, "sewable"), "../cmd/sewable")
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", &buildError{string(out)}
	}
	return dir, nil
})

type buildError struct{ output string }

func (e *buildError) Error() string { return "sewable does not build:\n" + e.output }

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := build(); err == nil {
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// onPath puts a fresh build of sewable in front of the PATH, as a user has it, and
// gives its folder.
func onPath(t *testing.T) string {
	t.Helper()
	dir, err := build()
	require.NoError(t, err)
	t.Setenv("PATH", dir+string(os.PathListSeparator)+os.Getenv("PATH"))
	return dir
}

// run runs a program with a time limit and gives what it wrote to standard output.
func run(t *testing.T, limit time.Duration, stdin string, name string, args ...string) []byte {
	t.Helper()
	out, log, err := start("", limit, stdin, name, args...)
	require.NoError(t, err, "%s %s\n%s\n%s", name, strings.Join(args, " "), out, log)
	return out
}

// runIn runs a program in a folder and gives what it wrote; how it ends is for the
// files that it writes to tell.
func runIn(t *testing.T, dir string, limit time.Duration, name string, args ...string) string {
	t.Helper()
	out, log, err := start(dir, limit, "", name, args...)
	return fmt.Sprintf("%s\n%s\n%v", out, log, err)
}

func start(dir string, limit time.Duration, stdin string, name string, args ...string) (out, log []byte, err error) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	cmd.Stdin = strings.NewReader(stdin)
	cmd.WaitDelay = time.Second
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err = cmd.Run()
	return stdout.Bytes(), stderr.Bytes(), err
}

// here is the absolute path of something in this folder.
func here(t *testing.T, parts ...string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(parts...))
	require.NoError(t, err)
	return path
}

// replace changes a file, and fails when there is nothing to change.
func replace(t *testing.T, path, old, with string) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), old)
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(text), old, with, 1)), 0o644))
}
