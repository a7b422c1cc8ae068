package lsp

import (
	"slices"

	"go.lsp.dev/protocol"
)

// client is what the editor can do, of what the server has a use for.
type client struct {
	name string

	pull             bool // asks for diagnostics instead of being sent them
	versions         bool // heeds the version of diagnostics
	related          bool
	unused           bool // dims what is unused
	codeDescription  bool
	pages            bool // shows documents that the server makes (workspace/textDocumentContent)
	documentChanges  bool
	annotations      bool // heeds annotations of changes
	snippetEdits     bool // takes text with a place for the cursor in edits
	createFiles      bool
	hierarchical     bool // document symbols
	markdown         bool // in hovers
	markdownDocs     bool // in completions
	snippets         bool
	lazyActions      bool
	labelDetails     bool
	lineFolding      bool
	links            bool // LocationLink in definitions
	labelOffsets     bool
	progress         bool
	watches          bool // can be asked to watch files
	showDocument     bool // can be asked to show a line, or a page
	configuration    bool // can be asked for its settings
	diagnosticsAgain bool // can be asked to ask again
	tokensAgain      bool
	hintsAgain       bool
	lensesAgain      bool
	tokenTypes       []string
}

func yes(b *bool) bool { return b != nil && *b }

func clientOf(p *protocol.InitializeParams) client {
	c := client{name: p.ClientInfo.Name}
	if t := p.Capabilities.TextDocument; t != nil {
		c.textDocument(t)
	}
	if w := p.Capabilities.Workspace; w != nil {
		c.workspace(w)
	}
	if w := p.Capabilities.Window; w != nil {
		c.progress = yes(w.WorkDoneProgress)
		c.showDocument = w.ShowDocument != nil && w.ShowDocument.Support
	}
	return c
}

func (c *client) textDocument(t *protocol.TextDocumentClientCapabilities) {
	c.pull = t.Diagnostic != nil
	if d := t.PublishDiagnostics; d != nil {
		c.versions = yes(d.VersionSupport)
		c.diagnostics(&d.DiagnosticsCapabilities)
	}
	if d := t.Diagnostic; d != nil {
		c.diagnostics(&d.DiagnosticsCapabilities)
	}
	if d := t.DocumentSymbol; d != nil {
		c.hierarchical = yes(d.HierarchicalDocumentSymbolSupport)
	}
	if h := t.Hover; h != nil {
		c.markdown = slices.Contains(h.ContentFormat, protocol.MarkupKindMarkdown)
	}
	if k := t.Completion; k != nil && k.CompletionItem != nil {
		c.snippets = yes(k.CompletionItem.SnippetSupport)
		c.markdownDocs = slices.Contains(k.CompletionItem.DocumentationFormat, protocol.MarkupKindMarkdown)
		c.labelDetails = yes(k.CompletionItem.LabelDetailsSupport)
	}
	if a := t.CodeAction; a != nil {
		c.lazyActions = yes(a.DataSupport) && slices.Contains(a.ResolveSupport.Properties, "edit")
		c.annotations = yes(a.HonorsChangeAnnotations)
	}
	if f := t.FoldingRange; f != nil {
		c.lineFolding = yes(f.LineFoldingOnly)
	}
	if d := t.Definition; d != nil {
		c.links = yes(d.LinkSupport)
	}
	if h := t.SignatureHelp; h != nil && h.SignatureInformation != nil && h.SignatureInformation.ParameterInformation != nil {
		c.labelOffsets = yes(h.SignatureInformation.ParameterInformation.LabelOffsetSupport)
	}
	c.tokenTypes = slices.Clone(t.SemanticTokens.TokenTypes)
}

func (c *client) diagnostics(d *protocol.DiagnosticsCapabilities) {
	c.related = c.related || yes(d.RelatedInformation)
	c.unused = c.unused || slices.Contains(d.TagSupport.ValueSet, protocol.DiagnosticTagUnnecessary)
	c.codeDescription = c.codeDescription || yes(d.CodeDescriptionSupport)
}

func (c *client) workspace(w *protocol.WorkspaceClientCapabilities) {
	if e := w.WorkspaceEdit; e != nil {
		c.documentChanges = yes(e.DocumentChanges)
		c.snippetEdits = c.documentChanges && yes(e.SnippetEditSupport)
		c.createFiles = slices.Contains(e.ResourceOperations, protocol.ResourceOperationKindCreate)
		c.annotations = c.annotations && e.ChangeAnnotationSupport != nil
	} else {
		c.annotations = false
	}
	if f := w.DidChangeWatchedFiles; f != nil {
		c.watches = yes(f.DynamicRegistration)
	}
	c.configuration = yes(w.Configuration)
	c.pages = w.TextDocumentContent != nil
	if d := w.Diagnostics; d != nil {
		c.diagnosticsAgain = yes(d.RefreshSupport)
	}
	if t := w.SemanticTokens; t != nil {
		c.tokensAgain = yes(t.RefreshSupport)
	}
	if h := w.InlayHint; h != nil {
		c.hintsAgain = yes(h.RefreshSupport)
	}
	if l := w.CodeLens; l != nil {
		c.lensesAgain = yes(l.RefreshSupport)
	}
}
