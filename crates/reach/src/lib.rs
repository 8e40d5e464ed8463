//! Every stack of tools that can do an act on a fastener, the best few, and why not.
