-- Works on the dinghy in the folder it is started in, and writes what it saw to
-- $SEWABLE_OUT. Uses what a user's keys would call.
local out = {}

local function finish(problem)
  out.problem = problem
  vim.fn.writefile({ vim.fn.json_encode(out) }, vim.env.SEWABLE_OUT)
  vim.cmd(problem and 'cquit' or 'qall!')
end

local function wait(what, done)
  if not vim.wait(60000, done, 5) then
    error('waited in vain for ' .. what)
  end
end

local function text(buf)
  return table.concat(vim.api.nvim_buf_get_lines(buf or 0, 0, -1, false), '\n') .. '\n'
end

local function go(pattern, offset)
  vim.fn.cursor(1, 1)
  vim.fn.search(pattern)
  vim.fn.cursor(vim.fn.line('.'), vim.fn.col('.') + (offset or 0))
end

local function session()
  if vim.lsp.enable then
    vim.lsp.enable('sewable')
  else
    require('sewable').setup()
  end
  vim.cmd('edit dinghy.block')
  local buf = vim.api.nvim_get_current_buf()

  wait('a diagnostic', function() return #vim.diagnostic.get(buf) > 0 end)
  out.findings = vim.tbl_map(function(d)
    return { line = d.lnum, column = d.col, message = d.message, code = d.code or d.user_data.lsp.code }
  end, vim.diagnostic.get(buf))

  -- The keys that the page promises.
  for _, key in ipairs({ 'K', 'gra', 'grn', 'grr' }) do
    if vim.fn.maparg(key, 'n') == '' then
      error('nothing is mapped to ' .. key)
    end
  end
  if not vim.bo.omnifunc:find('vim.lsp.omnifunc', 1, true) then
    error('nothing completes')
  end

  go('patch 7')
  vim.cmd('normal K')
  local float
  wait('a hover', function()
    for _, win in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(win).relative ~= '' then
        float = win
      end
    end
    return float
  end)
  out.hover = text(vim.api.nvim_win_get_buf(float))
  vim.api.nvim_win_close(float, true)

  -- The fix of the finding under the cursor, chosen from the menu.
  go('skyy')
  vim.ui.select = function(items, options, choose)
    for i, item in ipairs(items) do
      local action = item[2] or item.action
      if action.kind == 'quickfix' and action.title:find('sky') then
        return choose(item, i)
      end
    end
    error('no fix among ' .. vim.inspect(items))
  end
  vim.lsp.buf.code_action()
  wait('the fix', function() return not text(buf):find('skyy', 1, true) end)
  out.fixed = text(buf)
  wait('the end of the finding', function() return #vim.diagnostic.get(buf) == 0 end)

  -- A new line, begun.
  go('patch 7')
  vim.fn.append(vim.fn.line('.'), '    patch 8 ')
  vim.fn.cursor(vim.fn.line('.') + 1, 13)
  local params = vim.lsp.util.make_position_params()
  params.position.character = 12
  local answer = vim.lsp.buf_request_sync(buf, 'textDocument/completion', params, 5000)
  out.completions = {}
  for _, a in pairs(answer) do
    for _, item in ipairs(vim.lsp.util.extract_completion_items(a.result)) do
      table.insert(out.completions, item.label)
    end
  end
  vim.cmd('delete')

  go('foam  around')
  vim.lsp.buf.rename('spume')
  wait('the rename', function() return not text(buf):find('foam', 1, true) end)
  out.renamed = text(buf)
  local palette = vim.fn.bufnr('palette.block')
  out.palette = palette > 0 and text(palette) or ''

  go('patch 4')
  vim.cmd([[substitute/patch 4 .*beyond/  patch   4 cedar    beyond/]])
  if vim.lsp.buf.format then
    vim.lsp.buf.format({ timeout_ms = 5000 })
  else
    vim.lsp.buf.formatting_sync(nil, 5000)
  end
  out.formatted = text(buf)

  -- The server ends as the protocol has it.
  local client = vim.lsp.get_active_clients()[1]
  client.stop()
  wait('the end', function() return client.is_stopped() end)
end

local ok, problem = xpcall(session, debug.traceback)
finish(not ok and problem or nil)
