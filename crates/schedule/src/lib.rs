//! Work with waits, releases and a helper: resource-constrained scheduling.
