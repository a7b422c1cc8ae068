package lsp

import (
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lint"
)

// pageScheme names the pages that the server makes: sewable:/rules/small-patch.md.
const pageScheme = "sewable"

func (s *Server) capabilities() protocol.ServerCapabilities {
	yes := true
	incremental := protocol.TextDocumentSyncKindIncremental
	blockFiles := protocol.FileOperationRegistrationOptions{Filters: []protocol.FileOperationFilter{
		{Pattern: protocol.FileOperationPattern{Glob: "**/*" + lint.Extension, Matches: protocol.FileOperationPatternKindFile}},
		{Pattern: protocol.FileOperationPattern{Glob: "**/" + lint.SettingsName, Matches: protocol.FileOperationPatternKindFile}},
		{Pattern: protocol.FileOperationPattern{Glob: "**", Matches: protocol.FileOperationPatternKindFolder}},
	}}
	c := protocol.ServerCapabilities{
		PositionEncoding: s.encoding.Kind(),
		TextDocumentSync: &protocol.TextDocumentSyncOptions{
			OpenClose: &yes, Change: &incremental, Save: protocol.Boolean(true),
		},
		CompletionProvider: &protocol.CompletionOptions{
			TriggerCharacters: []string{" ", "\"", "(", ","}, ResolveProvider: &yes,
		},
		HoverProvider:                    protocol.Boolean(true),
		SignatureHelpProvider:            &protocol.SignatureHelpOptions{TriggerCharacters: []string{" ", "(", ","}},
		DeclarationProvider:              protocol.Boolean(true),
		DefinitionProvider:               protocol.Boolean(true),
		TypeDefinitionProvider:           protocol.Boolean(true),
		ReferencesProvider:               protocol.Boolean(true),
		DocumentHighlightProvider:        protocol.Boolean(true),
		DocumentSymbolProvider:           protocol.Boolean(true),
		CodeActionProvider:               &protocol.CodeActionOptions{CodeActionKinds: actionKinds, ResolveProvider: &yes},
		CodeLensProvider:                 &protocol.CodeLensOptions{ResolveProvider: &yes},
		DocumentLinkProvider:             &protocol.DocumentLinkOptions{},
		ColorProvider:                    protocol.Boolean(true),
		WorkspaceSymbolProvider:          protocol.Boolean(true),
		DocumentFormattingProvider:       protocol.Boolean(true),
		DocumentRangeFormattingProvider:  &protocol.DocumentRangeFormattingOptions{RangesSupport: &yes},
		DocumentOnTypeFormattingProvider: protocol.DocumentOnTypeFormattingOptions{FirstTriggerCharacter: "\n", MoreTriggerCharacter: []string{"}"}},
		RenameProvider:                   &protocol.RenameOptions{PrepareProvider: &yes},
		FoldingRangeProvider:             protocol.Boolean(true),
		SelectionRangeProvider:           protocol.Boolean(true),
		CallHierarchyProvider:            protocol.Boolean(true),
		LinkedEditingRangeProvider:       protocol.Boolean(true),
		SemanticTokensProvider: &protocol.SemanticTokensOptions{
			Legend: legend(), Range: protocol.Boolean(true), Full: &protocol.SemanticTokensFullDelta{Delta: &yes},
		},
		ExecuteCommandProvider: protocol.ExecuteCommandOptions{Commands: []string{previewCommand}},
		InlayHintProvider:      protocol.Boolean(true),
		Workspace: &protocol.WorkspaceOptions{
			WorkspaceFolders: &protocol.WorkspaceFoldersServerCapabilities{Supported: &yes, ChangeNotifications: protocol.Boolean(true)},
			FileOperations:   &protocol.FileOperationOptions{WillRename: blockFiles, DidRename: blockFiles, DidDelete: blockFiles},
		},
	}
	if s.client.pull {
		c.DiagnosticProvider = &protocol.DiagnosticOptions{InterFileDependencies: true, WorkspaceDiagnostics: true}
	}
	if s.client.pages {
		c.Workspace.TextDocumentContent = &protocol.TextDocumentContentOptions{Schemes: []string{pageScheme}}
	}
	return c
}

// rulePage is where the page of a rule is to be found: below the address that the
// editor was given, else with the server itself where the editor can show what a server
// makes; empty where neither is so.
func (s *Server) rulePage(rule string) uri.URI {
	if base := s.settings.now().Pages; base != "" {
		u, err := uri.Parse(base + rule)
		if err != nil {
			return ""
		}
		return u
	}
	if s.client.pages {
		return uri.URI(pageScheme + ":/rules/" + rule + ".md")
	}
	return ""
}
