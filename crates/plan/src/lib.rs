//! Way in, kit, order, slots, refit and readiness.
