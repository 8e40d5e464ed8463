//! Drawings and sheets: stacks to scale, plans, patterns as SVG.
