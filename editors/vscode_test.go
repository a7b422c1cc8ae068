package editors

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// codeServer is the VS Code build that ci-setup.sh installs. It can only be had where
// the script that makes it stands beside the repository.
func codeServer(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	path := filepath.Join(cache, "sewable-editors/vscode/node_modules/.bin/code-server")
	if _, err := os.Stat(path); err != nil {
		if _, err := os.Stat("../../shared/tools/vscode-server-install.sh"); err != nil {
			t.Skip("no VS Code build, nor the script that makes one")
		}
		missing(t, "VS Code build in "+path)
	}
	return path
}

// The packaged extension in VS Code, drawn by Chromium.
func TestVSCode(t *testing.T) {
	server, browser, js := codeServer(t), program(t, "chromium"), node(t)
	bin := onPath(t)
	run(t, 2*time.Minute, "", here(t, "vscode/package.sh"))
	dir, _ := harbour(t)

	home := t.TempDir()
	put := func(name string, value any) string {
		path := filepath.Join(home, name)
		text, err := json.Marshal(value)
		require.NoError(t, err)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, text, 0o644))
		return path
	}
	// What the server says is kept, since VS Code shows it to nobody.
	said, tapped := filepath.Join(home, "said"), filepath.Join(home, "sewable")
	require.NoError(t, os.WriteFile(tapped, fmt.Appendf(nil, "#!/bin/sh\n'%s/sewable' \"$@\" | tee '%s'\n", bin, said), 0o755))
	t.Setenv("SEWABLE_SAID", said)
	config := put("config.yaml", map[string]any{"auth": "none", "bind-addr": "127.0.0.1:0"})
	put("data/User/settings.json", map[string]any{
		"sewable.server.path": tapped, "workbench.startupEditor": "none",
		"security.workspace.trust.enabled": false, "telemetry.telemetryLevel": "off", "editor.hover.delay": 100,
	})
	flags := []string{"--config", config, "--user-data-dir", filepath.Join(home, "data"), "--extensions-dir", filepath.Join(home, "extensions"),
		"--disable-telemetry", "--disable-update-check"}
	run(t, time.Minute, "", server, append(flags, "--install-extension", here(t, "vscode/dist/sewable.vsix"))...)

	ctx, cancel := context.WithTimeout(context.Background(), 6*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, server, flags...)
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) } // it ends what it has started
	cmd.WaitDelay = 5 * time.Second
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	defer func() { cancel(); _ = cmd.Wait() }() // it was stopped
	address := ""
	lines := bufio.NewScanner(stdout)
	for address == "" && lines.Scan() {
		if m := regexp.MustCompile(`HTTP server listening on (http://\S+[0-9])`).FindStringSubmatch(lines.Text()); m != nil {
			address = m[1]
		}
	}
	require.NotEmpty(t, address, "it serves")
	go func() {
		for lines.Scan() {
		}
	}()

	shots := os.Getenv("SEWABLE_SHOTS") // to keep them
	if shots == "" {
		shots = t.TempDir()
	}
	out := filepath.Join(t.TempDir(), "out.json")
	t.Setenv("SEWABLE_SHOTS", shots)
	t.Setenv("SEWABLE_OUT", out)
	log := runIn(t, "", 5*time.Minute, js, "vscode/test/browser.mjs", address, dir, browser)
	text, err := os.ReadFile(out)
	require.NoError(t, err, "%s", log)
	var saw struct {
		Problem, Finding, Hover, Fixed string
		Opened, Refused, Port, Title   string
		Lit                            int
		Seen                           bool
		Pictures                       []struct {
			Width, Height int
			Alt           string
		}
	}
	require.NoError(t, json.Unmarshal(text, &saw))
	require.Empty(t, saw.Problem)
	assert.Contains(t, saw.Finding, "There is no fabric called skyy; did you mean sky?")
	assert.Contains(t, saw.Finding, "unknown-name")
	assert.Contains(t, saw.Hover, "A7")
	assert.Contains(t, saw.Hover, "waits for")
	large := 0
	for _, p := range saw.Pictures {
		assert.NotEmpty(t, p.Alt)
		if p.Width >= 100 && p.Height >= 100 {
			large++
		}
	}
	assert.True(t, saw.Seen, "the drawing is seen without scrolling")
	assert.Equal(t, 1, large, "one drawing of the block: %v", saw.Pictures)
	assert.Regexp(t, `patch 2 sky +beyond`, saw.Fixed)

	assert.Contains(t, saw.Opened, "/"+saw.Port+"/", "it was asked to open the address that the server gave")
	assert.Equal(t, "Forbidden", saw.Refused, "by another name nobody is let in")
	assert.Equal(t, "Matchbox Dinghy", saw.Title)
	assert.Equal(t, 1, saw.Lit, "the patch at the cursor")
}
