package lsp

import (
	"context"
	"time"

	"go.lsp.dev/protocol"

	"sewable/lsp/convert"
	"sewable/lsp/wire"
)

// initialize is done in its turn, so that what follows finds it done.
func (s *Server) initialize(params []byte) wire.Work {
	p, err := decode[protocol.InitializeParams](params)
	if err != nil {
		return func(context.Context) (any, error) { return nil, err }
	}
	s.client = clientOf(p)
	if g := p.Capabilities.General; g != nil {
		s.encoding = convert.Choose(g.PositionEncodings)
	}
	folders, _ := p.WorkspaceFolders.Get()
	//lint:ignore SA1019 editors from before workspace folders send nothing else
	root := p.RootURI
	if len(folders) == 0 && root != nil && *root != "" {
		folders = []protocol.WorkspaceFolder{{URI: *root}}
	}
	s.workspace.setFolders(folders, nil)
	s.settings.start(s, p.InitializationOptions)
	if p.ProcessID != nil {
		go s.watchParent(int(*p.ProcessID))
	}
	go s.diagnostics.run(s.ctx)
	s.lifeLock.Lock()
	s.phase = serving
	s.lifeLock.Unlock()
	result := &protocol.InitializeResult{
		Capabilities: s.capabilities(),
		ServerInfo:   protocol.ServerInfo{Name: "sewable", Version: protocol.NewOptional(s.options.Version)},
	}
	return func(context.Context) (any, error) { return result, nil }
}

// initialized begins what asks things of the editor.
func (s *Server) initialized() {
	go func() {
		s.register()
		s.askSettings()
		s.workspace.run(s.ctx)
	}()
}

// register asks to be told of changes on disk.
func (s *Server) register() {
	if !s.client.watches {
		return
	}
	watchers := &protocol.DidChangeWatchedFilesRegistrationOptions{Watchers: []protocol.FileSystemWatcher{
		{GlobPattern: protocol.Pattern("**/*.block")}, {GlobPattern: protocol.Pattern("**/sewable.toml")},
	}}
	ctx, cancel := context.WithTimeout(s.ctx, 10*time.Second)
	defer cancel()
	err := s.conn.Call(ctx, protocol.MethodClientRegisterCapability, &protocol.RegistrationParams{Registrations: []protocol.Registration{{
		ID: "watch", Method: protocol.MethodWorkspaceDidChangeWatchedFiles, RegisterOptions: structOf(watchers),
	}}}, nil)
	if err != nil {
		s.log.Warn("the editor does not watch files", "why", err)
	}
}

// shutdown is noted in its turn; nothing but exit is heard after it.
func shutdown(s *Server, _ life, _ []byte) wire.Work {
	s.lifeLock.Lock()
	s.phase = leaving
	s.lifeLock.Unlock()
	return func(context.Context) (any, error) { return nil, nil }
}

// parentPause is how often the server looks whether its editor is still there.
const parentPause = time.Second

// watchParent leaves when the editor is gone without a word.
func (s *Server) watchParent(pid int) {
	for tick := time.NewTicker(parentPause); ; {
		select {
		case <-s.ctx.Done():
			tick.Stop()
			return
		case <-tick.C:
		}
		if !alive(pid) {
			s.log.Error("the editor is gone", "process", pid)
			s.stop()
		}
	}
}
