-- Sewable's language server, as vim.lsp.enable('sewable') of Neovim 0.11 reads it.
return {
  cmd = { 'sewable', 'lsp' },
  filetypes = { 'sewable' },
  root_markers = { 'sewable.toml', '.git' },
}
