//! Kinds of fasteners, and what follows from the kind alone.

units::worded! {
    /// What kind of fastener it is.
    pub enum FastenerKind {
        /// A bolt through a hole into a tapped hole or a nut.
        Bolt = "bolt",
        /// A nut on a stud or bolt.
        Nut = "nut",
        /// A stud that is itself taken out.
        Stud = "stud",
        /// A screw, thread-forming ones included.
        Screw = "screw",
        /// A hose or pipe clamp.
        Clamp = "clamp",
        /// A push-in clip.
        Clip = "clip",
        /// A pipe union: a nut or screw through which its pipe goes. The hollow screw of a banjo is a bolt.
        Union = "union",
        /// An electrical connector or quick coupling.
        Connector = "connector",
        /// A threaded plug: drain, fill, blanking, or a spark plug.
        ThreadedPlug = "threaded-plug" / "plug",
        /// A sensor that screws in.
        Sensor = "sensor",
        /// A split pin (ISO 1234).
        SplitPin = "split-pin" / "split pin",
        /// Lock wire.
        LockWire = "lock-wire" / "lock wire",
        /// A tab or lock plate, bent up against heads.
        TabPlate = "tab-plate" / "tab plate",
        /// A circlip (retaining ring).
        Circlip = "circlip",
        /// A key in a keyway.
        Key = "key",
        /// A roll pin (ISO 8752).
        RollPin = "roll-pin" / "roll pin",
        /// A loose washer.
        Washer = "washer",
        /// A shim.
        Shim = "shim",
    }
}

impl FastenerKind {
    /// Whether a fastener of this kind is held by a thread, also where the book writes none.
    ///
    /// Common practice, no single source: a kind that is screwed in works loose unless it is tightened.
    #[must_use]
    pub const fn has_thread(self) -> bool {
        matches!(
            self,
            Self::Bolt
                | Self::Nut
                | Self::Stud
                | Self::Screw
                | Self::Union
                | Self::ThreadedPlug
                | Self::Sensor
        )
    }

    /// Whether it is a small thing that locks or spaces others and is counted like them: pins, wire, plates, rings, keys, washers, shims.
    #[must_use]
    pub const fn is_small_hardware(self) -> bool {
        matches!(
            self,
            Self::SplitPin
                | Self::LockWire
                | Self::TabPlate
                | Self::Circlip
                | Self::Key
                | Self::RollPin
                | Self::Washer
                | Self::Shim
        )
    }

    /// Whether it locks other fasteners: out before they are loosened, in once they are tight.
    ///
    /// Common practice, no single source.
    #[must_use]
    pub const fn is_lock(self) -> bool {
        matches!(self, Self::SplitPin | Self::LockWire | Self::TabPlate)
    }

    /// Whether it lies under other fasteners or within their part: out after them, in before they are run in.
    ///
    /// Common practice, no single source.
    #[must_use]
    pub const fn lies_beneath(self) -> bool {
        matches!(self, Self::Washer | Self::Shim | Self::Key)
    }

    /// Whether several of this kind clamp one face, so that the order of tightening matters.
    ///
    /// Common practice, no single source: a union, a hose clamp, a plug or a sensor seals by itself, whatever stands beside it.
    #[must_use]
    pub const fn clamps_a_face(self) -> bool {
        matches!(self, Self::Bolt | Self::Nut | Self::Stud | Self::Screw)
    }
}
