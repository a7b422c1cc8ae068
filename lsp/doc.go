// Package lsp is the language server: it answers what editors ask over the
// Language Server Protocol 3.18.
//
//	wire       frames, order, cancellation, calls both ways
//	session    what is open and on disk, as snapshots that never change
//	preview    the page that shows a document as it is typed
//	convert    byte offsets to the protocol's places and back
//	lsp        one file for each group of methods: a handler takes a snapshot,
//	           calls the function of the same name in lang/query, and converts
//	lsptest    a client for tests
//	bench      a client that measures this server, and others
//
// Notifications are done in the order they arrive, each before the next
// message is looked at. A request takes the snapshot that is current when it
// arrives and is answered concurrently. So no answer can mix two texts.
//
// The server never writes a file and never opens a connection. It listens, on the
// loopback alone, once a preview was asked for.
package lsp
