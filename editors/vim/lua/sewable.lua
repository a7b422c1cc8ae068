-- For Neovim before 0.11, which has no vim.lsp.enable: require('sewable').setup()
local M = {}

local clients = {} -- by root

local function root_of(file, markers)
  local dir = vim.fn.fnamemodify(file, ':p:h')
  for _, marker in ipairs(markers) do
    local found = vim.fn.findfile(marker, dir .. ';')
    if found == '' then
      found = vim.fn.finddir(marker, dir .. ';')
    end
    if found ~= '' then
      return vim.fn.fnamemodify(found, ':p'):gsub('/$', ''):match('^(.*)/')
    end
  end
  return dir
end

-- The keys that Neovim 0.11 has of itself and older ones lack. What is mapped already stays.
local function keys(buffer)
  vim.api.nvim_buf_set_option(buffer, 'omnifunc', 'v:lua.vim.lsp.omnifunc')
  local does = { K = 'hover', gra = 'code_action', grn = 'rename', grr = 'references' }
  vim.api.nvim_buf_call(buffer, function()
    for key, name in pairs(does) do
      if vim.fn.maparg(key, 'n') == '' then
        vim.keymap.set('n', key, function() vim.lsp.buf[name]() end, { buffer = buffer, desc = 'sewable: ' .. name })
      end
    end
  end)
end

-- setup starts the server for block files, one for each repository. Whatever
-- vim.lsp.start_client takes may be given: on_attach, init_options, capabilities.
function M.setup(options)
  local file = vim.api.nvim_get_runtime_file('lsp/sewable.lua', false)[1]
  local config = vim.tbl_extend('force', dofile(file), options or {})
  vim.api.nvim_create_autocmd('FileType', {
    pattern = config.filetypes,
    callback = function(event)
      local root = root_of(vim.api.nvim_buf_get_name(event.buf), config.root_markers)
      if not (clients[root] and vim.lsp.get_client_by_id(clients[root])) then
        clients[root] = vim.lsp.start_client(vim.tbl_extend('force', config, { name = 'sewable', root_dir = root }))
      end
      if clients[root] then
        vim.lsp.buf_attach_client(event.buf, clients[root])
        keys(event.buf)
      end
    end,
  })
end

return M
