//! The words of the book format for each choice, one table a choice, used by reader, writer and schema alike.

use fields::WordTable;
use model::reading_kind::ReadingKind;
use model::{
    ConditionKind, FastenerKind, FigureOrigin, HistoryCause, HoldsBack, KeepPlace, Lubrication, PartKind,
    RoomClass, SettingKind, Sight, SignalWord, TappedIn, TaskKind,
};

pub(crate) const SIGNAL_WORDS: WordTable<SignalWord> = &[
    ("NOTICE", SignalWord::Notice),
    ("CAUTION", SignalWord::Caution),
    ("WARNING", SignalWord::Warning),
    ("DANGER", SignalWord::Danger),
];

pub(crate) const CONDITION_KINDS: WordTable<ConditionKind> = &[
    ("drained", ConditionKind::Drained),
    ("waited", ConditionKind::Waited),
    ("isolated", ConditionKind::Isolated),
    ("set", ConditionKind::Set),
];

pub(crate) const HOLDS_BACK: WordTable<HoldsBack> = &[
    ("tightening", HoldsBack::Tightening),
    ("filling", HoldsBack::Filling),
    ("next-part", HoldsBack::NextPart),
];

pub(crate) const TASK_KINDS: WordTable<TaskKind> = &[
    ("renew", TaskKind::Renew),
    ("inspect", TaskKind::Inspect),
    ("measure", TaskKind::Measure),
    ("reseal", TaskKind::Reseal),
];

pub(crate) const READING_KINDS: WordTable<ReadingKind> = &[
    (ReadingKind::Compression.word(), ReadingKind::Compression),
    (ReadingKind::LeakDown.word(), ReadingKind::LeakDown),
    (ReadingKind::WearDepth.word(), ReadingKind::WearDepth),
    (ReadingKind::Play.word(), ReadingKind::Play),
    (ReadingKind::RunOut.word(), ReadingKind::RunOut),
    (ReadingKind::Resistance.word(), ReadingKind::Resistance),
    (ReadingKind::Pressure.word(), ReadingKind::Pressure),
    (ReadingKind::WaterContent.word(), ReadingKind::WaterContent),
    (ReadingKind::Temperature.word(), ReadingKind::Temperature),
    (ReadingKind::VisualGrade.word(), ReadingKind::VisualGrade),
];

pub(crate) const FASTENER_KINDS: WordTable<FastenerKind> = &[
    ("bolt", FastenerKind::Bolt),
    ("nut", FastenerKind::Nut),
    ("stud", FastenerKind::Stud),
    ("screw", FastenerKind::Screw),
    ("clamp", FastenerKind::Clamp),
    ("clip", FastenerKind::Clip),
    ("union", FastenerKind::Union),
    ("connector", FastenerKind::Connector),
    ("threaded-plug", FastenerKind::ThreadedPlug),
    ("sensor", FastenerKind::Sensor),
    ("split-pin", FastenerKind::SplitPin),
    ("lock-wire", FastenerKind::LockWire),
    ("tab-plate", FastenerKind::TabPlate),
    ("circlip", FastenerKind::Circlip),
    ("key", FastenerKind::Key),
    ("roll-pin", FastenerKind::RollPin),
    ("washer", FastenerKind::Washer),
    ("shim", FastenerKind::Shim),
];

pub(crate) const TAPPED_IN: WordTable<TappedIn> = &[
    ("steel", TappedIn::Steel),
    ("grey-iron", TappedIn::GreyIron),
    ("cast-aluminium", TappedIn::CastAluminium),
    ("plastic", TappedIn::Plastic),
];

pub(crate) const LUBRICATIONS: WordTable<Lubrication> = &[
    ("dry", Lubrication::Dry),
    ("oiled", Lubrication::Oiled),
    ("paste", Lubrication::Paste),
    ("thread-locker", Lubrication::ThreadLocker),
    ("sealant", Lubrication::Sealant),
    ("unstated", Lubrication::Unstated),
];

pub(crate) const HISTORY_CAUSES: WordTable<HistoryCause> = &[
    ("heat", HistoryCause::Heat),
    ("corrosion", HistoryCause::Corrosion),
    ("thread-locker", HistoryCause::ThreadLocker),
    ("paint", HistoryCause::Paint),
    ("unknown-hand", HistoryCause::UnknownHand),
];

pub(crate) const KEEPS: WordTable<KeepPlace> = &[
    ("tray", KeepPlace::Tray),
    ("bag", KeepPlace::Bag),
    ("hole-card", KeepPlace::HoleCard),
    ("on-part", KeepPlace::OnPart),
    ("in-hole", KeepPlace::InHole),
];

pub(crate) const SIGHTS: WordTable<Sight> = &[("seen", Sight::Seen), ("felt", Sight::FeltOnly)];

pub(crate) const ROOM_CLASSES: WordTable<RoomClass> = &[
    ("open", RoomClass::Open),
    ("arms-length", RoomClass::ArmsLength),
    ("deep", RoomClass::Deep),
    ("beside-only", RoomClass::BesideOnly),
    ("blind", RoomClass::Blind),
];

pub(crate) const FIGURE_ORIGINS: WordTable<FigureOrigin> = &[
    ("measured", FigureOrigin::Measured),
    ("service-data", FigureOrigin::ServiceData),
    ("standard", FigureOrigin::Standard),
    ("worked-out", FigureOrigin::WorkedOut),
    ("seen", FigureOrigin::Seen),
    ("inferred", FigureOrigin::Inferred),
    ("guessed", FigureOrigin::Guessed),
];

pub(crate) const SETTING_KINDS: WordTable<SettingKind> = &[
    ("lift", SettingKind::Lift),
    ("support", SettingKind::Support),
    ("put-in", SettingKind::PutIn),
    ("other", SettingKind::Other),
];

pub(crate) const PART_KINDS: WordTable<PartKind> = &[
    ("mounting", PartKind::Mounting),
    ("connector", PartKind::Connector),
    ("hose", PartKind::Hose),
    ("pipe", PartKind::Pipe),
    ("union", PartKind::Union),
    ("belt", PartKind::Belt),
    ("tensioner", PartKind::Tensioner),
    ("wheel", PartKind::Wheel),
    ("drain", PartKind::Drain),
    ("cover", PartKind::Cover),
    ("loom", PartKind::Loom),
    ("bracket", PartKind::Bracket),
    ("pump", PartKind::Pump),
    ("sensor", PartKind::Sensor),
    ("filter", PartKind::Filter),
    ("other", PartKind::Other),
];
