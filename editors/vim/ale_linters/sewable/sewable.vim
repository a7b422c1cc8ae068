" Sewable's language server for ALE.
call ale#linter#Define('sewable', {
\   'name': 'sewable',
\   'lsp': 'stdio',
\   'executable': 'sewable',
\   'command': '%e lsp',
\   'project_root': {buffer -> fnamemodify(ale#path#FindNearestFile(buffer, 'sewable.toml') ?? bufname(buffer), ':p:h')},
\})
