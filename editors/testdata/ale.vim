" What ALE says of dinghy.block in the folder it is started in, to $SEWABLE_OUT.
set nocompatible hidden
filetype plugin on
syntax on
let g:ale_linters = {'sewable': ['sewable']}
runtime plugin/ale.vim
edit dinghy.block
let s:end = localtime() + 60
while empty(get(get(g:ale_buffer_info, bufnr(''), {}), 'loclist', [])) && localtime() < s:end
  sleep 20m
endwhile
let s:found = map(copy(get(get(g:ale_buffer_info, bufnr(''), {}), 'loclist', [])), {_, x -> {'line': x.lnum - 1, 'column': x.col - 1, 'message': x.text, 'code': get(x, 'code', '')}})
call writefile([json_encode({'findings': s:found})], $SEWABLE_OUT)
qall!
