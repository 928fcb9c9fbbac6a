"""Everything that is decided or calculated; the same files run on the server and on the phone."""
