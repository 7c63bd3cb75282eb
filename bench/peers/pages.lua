-- Asks for the pages of plants one after the other: the first id and how many
-- there are come as arguments. Ids end in a number that counts up.
local first, many
local next = 0

function init(args)
  first, many = args[1], tonumber(args[2])
end

function request()
  local number = tonumber(string.sub(first, -6), 16) + next % many
  next = next + 1
  return wrk.format("GET", "/plant/" .. string.sub(first, 1, -7) .. string.format("%06x", number))
end
