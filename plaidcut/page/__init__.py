"""The local page: everything that the commands do, in a browser on her own computer."""
