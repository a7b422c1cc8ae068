package editors

import (
	"bufio"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Kate, set up as its page says, starts the server for a block file, asks for what it shows
// and is sent the finding there.
func TestKate(t *testing.T) {
	kate, screen, bus := program(t, "kate"), program(t, "Xvfb"), program(t, "dbus-run-session")
	bin := onPath(t)
	dir, _ := harbour(t)
	home := t.TempDir()
	trace := filepath.Join(home, "trace")
	put := func(path, text string) {
		path = filepath.Join(home, path)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	given := func(name string) string {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		return string(text)
	}
	server := filepath.Join(bin, "sewable")
	command := `["sewable", "lsp"]`
	settings := given("kate/lsp.json")
	require.Contains(t, settings, command)
	put("config/kate/lspclient/settings.json", strings.Replace(settings, command, `["`+server+`", "lsp", "--trace", "`+trace+`"]`, 1))
	put("data/org.kde.syntax-highlighting/syntax/sewable.xml", given("kate/sewable.xml"))
	put("config/katerc", "[General]\nShow welcome view for new window=false\n[Kate Plugins]\nlspclientplugin=true\n"+
		"[lspclient]\nAllowedServerCommandLines="+server+" lsp --trace "+trace+"\n")
	run := filepath.Join(home, "run")
	require.NoError(t, os.Mkdir(run, 0o700))

	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	display := exec.CommandContext(ctx, screen, "-displayfd", "1", "-screen", "0", "1280x800x24")
	said, err := display.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, display.Start())
	number, err := bufio.NewReader(said).ReadString('\n')
	require.NoError(t, err)
	editor := exec.CommandContext(ctx, bus, "--", kate, "--startanon", filepath.Join(dir, "dinghy.block"))
	editor.Env = append(os.Environ(), "DISPLAY=:"+strings.TrimSpace(number), "HOME="+home, "XDG_RUNTIME_DIR="+run,
		"XDG_CONFIG_HOME="+filepath.Join(home, "config"), "XDG_DATA_HOME="+filepath.Join(home, "data"))
	require.NoError(t, editor.Start())
	t.Cleanup(func() {
		cancel()
		_, _ = editor.Wait(), display.Wait() // they were stopped
	})

	wants := []string{`"textDocument/didOpen"`, `"textDocument/documentSymbol"`, `"textDocument/semanticTokens/range"`, "There is no fabric called skyy"}
	assert.Eventually(t, func() bool {
		text, err := os.ReadFile(trace)
		for _, want := range wants {
			if err != nil || !strings.Contains(string(text), want) {
				return false
			}
		}
		return true
	}, 50*time.Second, 200*time.Millisecond, "Kate opens the file with the server, asks for its outline and colours, and is sent its finding")
}
