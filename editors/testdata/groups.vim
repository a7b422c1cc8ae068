" Writes the syntax groups of each line of the files that $SEWABLE_FILES lists to
" $SEWABLE_OUT: {file: [[{start, end, name}]]}, in bytes.
set encoding=utf-8
filetype plugin on
syntax on
let s:out = {}
for s:file in readfile($SEWABLE_FILES)
  execute 'edit' fnameescape(s:file)
  if &filetype !=# 'sewable'
    cquit
  endif
  let s:lines = []
  for s:l in range(1, line('$'))
    let s:pieces = []
    for s:c in range(1, col([s:l, '$']) - 1)
      let s:name = join(map(filter(synstack(s:l, s:c), {_, id -> synIDattr(id, 'name') !=# 'sewableBody'}), {_, id -> synIDattr(id, 'name')}), ' ')
      if !empty(s:pieces) && s:pieces[-1].name ==# s:name
        let s:pieces[-1].end = s:c
      else
        call add(s:pieces, {'start': s:c - 1, 'end': s:c, 'name': s:name})
      endif
    endfor
    call add(s:lines, s:pieces)
  endfor
  let s:out[s:file] = s:lines + [[]]
  bwipeout!
endfor
call writefile([json_encode(s:out)], $SEWABLE_OUT)
qall!
