//! Texts in a form of their own: threads, classes, drives, holes, passes of tightening.
//!
//! Why: each of them carries a figure that tools are chosen by. What cannot be read cannot be checked, and a guess
//! would choose the wrong tool.

use super::rule;
use faults::{Fault, FaultRule, SourceSpan};

rule! { B115 "not a thread",
why "Turns, strength and look-alikes follow from the thread; a pitch that no standard knows is a slip, most often a length written as a pitch.",
bad "thread      = \"M6x25\"",
help "write `M6` for the coarse pitch, `M10x1.25` for another, `1/4-20 UNC` for an inch thread, `1/8-27 NPT` or `G 1/4` for a pipe thread." }
rule! { B116 "not a property class",
why "The class says how strong a bolt is; without a known one its torque cannot be checked.",
bad "class       = \"8,8\"",
help "write the class as it is marked on the head: `8.8`, `10.9`, `A2-70`." }
rule! { B117 "not a drive",
why "Every tool is chosen by the drive: its form and its size.",
bad "drive       = \"hexagon M6\"",
help "write form and size: `hexagon 10 mm`, `T30`, `E10`." }
rule! { B118 "not a hole",
why "A hole's place is two figures; with one or three nobody can say where it lies.",
bad "holes       = [[0, 0], [40], [0, 60], [40, 60]]",
help "write `[x, y]` in millimetres, or `{ label = \"3\", x = 80, y = 0 }`." }
rule! { B119 "not a pass of tightening",
why "A figure without its unit, or in an unknown one, is how torques go wrong by a factor of nine.",
bad "tighten     = [\"5\", \"9 N·m\"]",
help "write a torque with its unit (`9 N·m`, `80 lbf·in`), an angle (`90°`), `seat` or `by feel`." }

pub(super) const RULES: &[FaultRule] = &[B115, B116, B117, B118, B119];

pub(crate) fn b118_hole(span: SourceSpan) -> Fault {
    super::rule_error(&B118, "a hole's place is two figures", span, "not two figures")
}
