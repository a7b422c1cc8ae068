package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/protocol"

	"sewable/lang/files"
	"sewable/lang/query"
	"sewable/lint"
)

// Preferences are what an editor may set, in initializationOptions or in its
// settings under "sewable". What is checked, and how strictly, stands in
// sewable.toml alone: so the command and every editor agree.
type Preferences struct {
	// Pictures in hovers: "image" for editors that show them, "text" for a
	// drawing of dots, "none".
	Pictures string `json:"pictures,omitempty"`
	// Hints are the kinds of inlay hints shown.
	Hints map[string]bool `json:"hints,omitempty"`
	// Lenses over blocks and sections.
	Lenses *bool `json:"lenses,omitempty"`
	// Config is a settings file that counts for every file, as --config is. Its path
	// starts from the first folder of the workspace.
	Config string `json:"config,omitempty"`
	// Log is the least level of what the editor is told: error, warn, info or debug.
	Log string `json:"log,omitempty"`
	// Pages is the address below which the pages of the rules are found, without
	// the rule's name.
	Pages string `json:"pages,omitempty"`
}

// settings are the preferences that hold now. They are never written into: a request
// may be reading those that held when it began.
type settings struct {
	mu    sync.Mutex
	p     Preferences
	first []byte // what the editor said when it started, under everything it says later

	taking sync.Mutex   // held by whoever takes preferences, so that the last said are the last taken
	asking sync.Mutex   // held from a question to its answer, which another may not overtake
	asked  atomic.Int64 // how often there was something to ask
}

func (s *settings) now() Preferences {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.p
}

// start takes the preferences that the editor starts with.
func (s *settings) start(server *Server, raw protocol.LSPAny) {
	if s.read(server, raw) {
		s.first = bytes.Clone(raw)
	}
}

// read takes preferences in place of those before, and reports whether it could. What is
// not said is as it was at the start, so a setting that is taken out again no longer counts.
func (s *settings) read(server *Server, raw protocol.LSPAny) bool {
	if len(raw) == 0 || string(raw) == "null" {
		return false
	}
	s.taking.Lock()
	defer s.taking.Unlock()
	var p Preferences
	_ = p.take(s.first) // it could be read at the start
	if err := p.take(raw); err != nil {
		server.log.Warn("the settings cannot be read", "why", err)
		return false
	}
	s.mu.Lock()
	before := s.p
	s.p = p
	s.mu.Unlock()
	if p.Config != before.Config {
		server.takeConfig(p.Config)
	}
	return true
}

// take reads preferences, under "sewable" or bare, over those that are there.
func (p *Preferences) take(raw []byte) error {
	if len(raw) == 0 {
		return nil
	}
	var nested struct {
		Sewable json.RawMessage `json:"sewable"`
	}
	if json.Unmarshal(raw, &nested) == nil && len(nested.Sewable) > 0 {
		raw = nested.Sewable
	}
	return json.Unmarshal(raw, p)
}

// takeConfig takes one settings file for every file, or none.
func (s *Server) takeConfig(path string) {
	config := lint.NewConfig(s.options.Rules)
	if path != "" {
		if folder, ok := s.workspace.firstFolder(); ok && !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		var err error
		if config, err = lint.FixedConfig(path, s.options.Rules, new(files.Gate)); err != nil {
			s.log.Error("the settings file cannot be read", "why", err)
			return
		}
	}
	s.session.Configure(config)
}

func (s *Server) didChangeConfiguration(p *protocol.DidChangeConfigurationParams) {
	s.settings.read(s, p.Settings)
	go func() {
		s.askSettings()
		s.again()
	}()
}

// again makes the editor ask anew for what settings change.
func (s *Server) again() {
	s.changed("")
	s.workspace.again()
	ctx, cancel := context.WithTimeout(s.ctx, 10*time.Second)
	defer cancel()
	for method, can := range map[string]bool{
		protocol.MethodWorkspaceInlayHintRefresh:      s.client.hintsAgain,
		protocol.MethodWorkspaceCodeLensRefresh:       s.client.lensesAgain,
		protocol.MethodWorkspaceSemanticTokensRefresh: s.client.tokensAgain,
		protocol.MethodWorkspaceDiagnosticRefresh:     s.client.diagnosticsAgain && s.client.pull,
	} {
		if can {
			_ = s.conn.Call(ctx, method, nil, nil)
		}
	}
}

// askSettings asks the editor, where it can be asked. One question waits for the answer to
// the one before; of those that wait the last is enough.
func (s *Server) askSettings() {
	if !s.client.configuration {
		return
	}
	turn := s.settings.asked.Add(1)
	s.settings.asking.Lock()
	defer s.settings.asking.Unlock()
	if s.settings.asked.Load() != turn {
		return
	}
	ctx, cancel := context.WithTimeout(s.ctx, 10*time.Second)
	defer cancel()
	section := "sewable"
	var answers []protocol.LSPAny
	err := s.conn.Call(ctx, protocol.MethodWorkspaceConfiguration,
		&protocol.ConfigurationParams{Items: []protocol.ConfigurationItem{{Section: &section}}}, &answers)
	if err != nil || len(answers) == 0 {
		return
	}
	if string(answers[0]) == "null" { // nothing is set
		answers[0] = protocol.LSPAny("{}")
	}
	s.settings.read(s, answers[0])
}

// told is the least level of what the editor is told.
func (p Preferences) told(given slog.Level) slog.Level {
	if p.Log == "" || given.UnmarshalText([]byte(p.Log)) != nil {
		return given
	}
	return given
}

// wants reports whether a kind of hint is shown: cut sizes and lengths unless the
// editor says otherwise, the others when it asks.
func (p Preferences) wants(k query.HintKind) bool {
	for name, kind := range query.HintKinds {
		if shown, said := p.Hints[name]; kind == k && said {
			return shown
		}
	}
	return k == query.HintCut || k == query.HintLength
}
