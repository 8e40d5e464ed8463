//! Faults with code, place, cause and action; a TOML walker that reports them all.
