//! Usual fasteners of an engine, with figures that the book's own rules find plausible (all invented).

/// How much room the tools of a fastener need.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum GeneratedRoom {
    /// Any space: small torque, many tools.
    Any,
    /// Straight and with a long swing: the torque needs a long bar.
    Long,
    /// Wide: pliers, fingers, or a second spanner.
    Wide,
}

/// One usual fastener.
pub(crate) struct UsualFastener {
    /// How often it is met, beside the others.
    pub(crate) share: u32,
    /// Word of the title.
    pub(crate) noun: &'static str,
    /// The lines that are the same for every length.
    pub(crate) lines: &'static str,
    /// Lengths under the head; empty where none is given.
    pub(crate) lengths_mm: &'static [u32],
    /// Thread engaged; 0 where there is no thread.
    pub(crate) engagement_mm: u32,
    /// Width of a socket over it.
    pub(crate) wide_mm: u32,
    /// Room that its tools need.
    pub(crate) room: GeneratedRoom,
    /// What is held on the other side, as the lines of its access say it; empty where nothing is.
    pub(crate) held: &'static str,
}

const BLANK: UsualFastener = UsualFastener {
    share: 1,
    noun: "bolts",
    lines: "",
    lengths_mm: &[],
    engagement_mm: 0,
    wide_mm: 24,
    room: GeneratedRoom::Any,
    held: "",
};

/// Bolts of class 8.8 into cast aluminium and of 10.9 into iron, nuts on studs, screws, clamps, clips and plugs.
pub(crate) const FASTENERS: &[UsualFastener] = &[
    UsualFastener {
        share: 8,
        lines: "kind = \"bolt\"\n  thread = \"M6\"\n  class = \"8.8\"\n  drive = \"hexagon 10 mm\"\n  \
                head = { height = 6, diameter = 13.5 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"5 N·m\", \"9 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[20, 25, 30, 40],
        engagement_mm: 12,
        wide_mm: 19,
        ..BLANK
    },
    UsualFastener {
        share: 6,
        lines: "kind = \"bolt\"\n  thread = \"M8\"\n  class = \"8.8\"\n  drive = \"hexagon 13 mm\"\n  \
                head = { height = 8, diameter = 17 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"10 N·m\", \"21 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[30, 40, 55],
        engagement_mm: 16,
        ..BLANK
    },
    UsualFastener {
        share: 4,
        lines: "kind = \"bolt\"\n  thread = \"M10\"\n  class = \"8.8\"\n  drive = \"hexagon 16 mm\"\n  \
                head = { height = 10, diameter = 21 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"20 N·m\", \"42 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[40, 60, 80],
        engagement_mm: 20,
        wide_mm: 30,
        ..BLANK
    },
    UsualFastener {
        share: 4,
        lines: "kind = \"bolt\"\n  thread = \"M6\"\n  class = \"8.8\"\n  drive = \"T30\"\n  \
                head = { recess = 4, diameter = 11 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"8 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[16, 20, 30],
        engagement_mm: 12,
        wide_mm: 19,
        ..BLANK
    },
    UsualFastener {
        share: 3,
        lines: "kind = \"bolt\"\n  thread = \"M8\"\n  class = \"8.8\"\n  drive = \"E10\"\n  \
                head = { height = 7, diameter = 16 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"8 N·m\", \"20 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[35, 50],
        engagement_mm: 16,
        wide_mm: 25,
        ..BLANK
    },
    UsualFastener {
        share: 3,
        lines: "kind = \"bolt\"\n  thread = \"M5\"\n  class = \"8.8\"\n  drive = \"hexagon 8 mm\"\n  \
                head = { height = 5, diameter = 11.5 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"5 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[16, 20, 25],
        engagement_mm: 10,
        wide_mm: 17,
        ..BLANK
    },
    UsualFastener {
        share: 2,
        lines: "kind = \"bolt\"\n  thread = \"M6\"\n  class = \"10.9\"\n  drive = \"hex socket 5 mm\"\n  \
                head = { recess = 4, diameter = 10 }\n  tapped_in = \"steel\"\n  \
                tighten = [\"6 N·m\", \"12 N·m\"]\n  lubrication = \"oiled\"",
        lengths_mm: &[16, 20, 35],
        engagement_mm: 10,
        wide_mm: 19,
        ..BLANK
    },
    UsualFastener {
        share: 2,
        lines: "kind = \"bolt\"\n  thread = \"M8x1\"\n  class = \"10.9\"\n  drive = \"hexagon 12 mm\"\n  \
                head = { height = 8, diameter = 17.5 }\n  tapped_in = \"grey-iron\"\n  \
                tighten = [\"15 N·m\", \"30 N·m\"]\n  lubrication = \"oiled\"",
        lengths_mm: &[30, 45],
        engagement_mm: 14,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        lines: "kind = \"bolt\"\n  thread = \"M10\"\n  class = \"10.9\"\n  drive = \"hexagon 16 mm\"\n  \
                head = { height = 10, diameter = 21 }\n  tapped_in = \"grey-iron\"\n  \
                tighten = [\"30 N·m\", \"60°\"]\n  end_torque = \"65 N·m\"\n  critical = true\n  lubrication = \"oiled\"",
        lengths_mm: &[60, 90],
        engagement_mm: 18,
        wide_mm: 30,
        room: GeneratedRoom::Long,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        lines: "kind = \"bolt\"\n  thread = \"M12\"\n  class = \"8.8\"\n  drive = \"hexagon 18 mm\"\n  \
                head = { height = 12, diameter = 26 }\n  tapped_in = \"cast-aluminium\"\n  \
                tighten = [\"35 N·m\", \"70 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[60, 90],
        engagement_mm: 24,
        wide_mm: 34,
        room: GeneratedRoom::Long,
        ..BLANK
    },
    UsualFastener {
        share: 3,
        noun: "nuts",
        lines: "kind = \"nut\"\n  thread = \"M8\"\n  class = \"8.8\"\n  drive = \"hexagon 13 mm\"\n  \
                head = { height = 7, diameter = 17, protrusion = 5 }\n  tapped_in = \"steel\"\n  \
                tighten = [\"20 N·m\"]\n  lubrication = \"dry\"",
        engagement_mm: 7,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        noun: "through bolts",
        lines: "kind = \"bolt\"\n  thread = \"M8\"\n  class = \"8.8\"\n  drive = \"hexagon 13 mm\"\n  \
                head = { height = 8, diameter = 17 }\n  tapped_in = \"steel\"\n  \
                tighten = [\"22 N·m\"]\n  lubrication = \"dry\"",
        lengths_mm: &[45, 60],
        engagement_mm: 8,
        room: GeneratedRoom::Wide,
        held: "counter_hold = { drive = \"hexagon 13 mm\", grip_height = 7, access = { corridor = [{ clear = 80 }], \
               headroom = 400, bends = [], swings = [], side = \"none\", drop_over = [] } }",
        ..BLANK
    },
    UsualFastener {
        share: 1,
        noun: "screws",
        lines: "kind = \"screw\"\n  drive = \"T25\"\n  head = { recess = 3.5, diameter = 10 }\n  \
                tapped_in = \"plastic\"\n  tighten = [\"seat\"]",
        wide_mm: 19,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        noun: "hose clamps",
        lines: "kind = \"clamp\"\n  drive = \"spring clamp 24 mm\"\n  tighten = []",
        room: GeneratedRoom::Wide,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        noun: "clips",
        lines: "kind = \"clip\"\n  drive = \"push clip 8 mm\"\n  tighten = []",
        room: GeneratedRoom::Wide,
        ..BLANK
    },
    UsualFastener {
        share: 1,
        noun: "plugs",
        lines: "kind = \"connector\"\n  drive = \"latch\"\n  captive = true\n  tighten = []",
        room: GeneratedRoom::Wide,
        ..BLANK
    },
];

/// The fastener of a throw from 0 to [`shares`].
pub(crate) fn draw_fastener(throw: u32) -> &'static UsualFastener {
    let mut left = throw % total_shares();
    let found = FASTENERS.iter().find(|f| match left.checked_sub(f.share) {
        Some(rest) => {
            left = rest;
            false
        }
        None => true,
    });
    found.unwrap_or(&FASTENERS[0])
}

/// The sum of all shares.
pub(crate) fn total_shares() -> u32 {
    FASTENERS.iter().map(|f| f.share).sum()
}
