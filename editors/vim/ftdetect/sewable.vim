autocmd BufRead,BufNewFile *.block setfiletype sewable
