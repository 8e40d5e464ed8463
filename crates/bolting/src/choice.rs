//! Which of the mechanic's own wrenches suits a torque, what to set on it, and how far off the fastener may then be.
//!
//! **Question.** Three wrenches hang on the wall; 27 N·m through a crow-foot and a joint at 10°. Which one, set to what, and how sure?
//!
//! **Symbols.** `T` wanted torque, `S` exact setting (`wrench::Offset`), `S'` the nearest mark of the scale, `r = S'/S − 1` error of rounding,
//! `e` permitted error of the tool, `c` cosine of the joint's angle, `g` deviation of the preload through friction and method.
//!
//! ```text
//! torque at the fastener  T·(1 + r)·(1 ± e)·(c … 1/c)          preload  ± √(e² + g²), joint and rounding on top
//! ```
//!
//! **Assumptions and range.** The tool is within its class (checked within 12 months or 5000 uses). Rounding is known and kept as a shift;
//! the joint's part is an interval; only tool and friction are combined as independent. Wrenches of which the setting falls
//! below a fifth of full scale or below the first mark are left out with their reason.
//!
//! **Worked example.** 27 N·m, wrench to 60 N·m in steps of 0.5, ±4 %, 400 mm with a crow-foot of 50 mm ahead: S = 24.00, mark 24.0, 26.0 to 28.1 N·m; with the joint
//! at 10° 25.6 to 28.6. With friction of ±25 % the preload is ±25.3 %: **the wrench is not the problem**.
//!
//! **Sources.** ISO 6789-1 (range, classes); combination of independent errors: GUM (JCGM 100:2008), 5.1.2; the rest as in `wrench` and `joint`.

use core::cmp::Ordering;
use core::fmt;

use serde::Serialize;
use units::{Angle, Range, Torque};

use crate::clamp::combined_deviation_fraction;
use crate::joint_piece::torque_ratio;
use crate::wrench::{self, TorqueToolClass, WrenchFit, WrenchOffset};

/// One of the mechanic's wrenches.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueWrench {
    /// What its owner calls it.
    pub name: String,
    /// Lowest and highest mark.
    pub scale: Range<Torque>,
    /// Step of the scale; zero for one that shows any figure.
    pub step: Torque,
    /// Its class.
    pub class: TorqueToolClass,
    /// Error found at its last calibration, where it has a certificate; otherwise the class's applies.
    pub certified_error_fraction: Option<f64>,
}

/// What is to be tightened, and through what.
#[derive(Debug, Clone, PartialEq)]
pub struct WrenchTask {
    /// Torque at the fastener.
    pub torque: Torque,
    /// Crow-foot or offset extension, where one is needed.
    pub offset: Option<WrenchOffset>,
    /// Universal joints in the chain.
    pub joints: Vec<Angle>,
    /// Deviation of the preload through friction and method.
    pub friction_fraction: f64,
}

/// Why a wrench does not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WrenchUnfit {
    /// The setting lies below a fifth of full scale or below the first mark.
    TooLow,
    /// The setting lies above the last mark.
    CannotReach,
    /// A step of the scale is more than a tenth of the setting.
    TooCoarse,
}

impl fmt::Display for WrenchUnfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TooLow => {
                "the setting is below 20 % of full scale, where the wrench's accuracy is not specified"
            }
            Self::CannotReach => "the setting is above its full scale",
            Self::TooCoarse => "its scale is too coarse for the setting",
        })
    }
}

/// What a wrench would do.
#[derive(Debug, Clone, PartialEq)]
pub struct WrenchSetting {
    /// The wrench.
    pub name: String,
    /// The exact setting.
    pub exact: Torque,
    /// What to set: the nearest mark.
    pub setting: Torque,
    /// What the rounding adds, as a fraction.
    pub rounding_fraction: f64,
    /// Permitted error of the tool.
    pub tool_fraction: f64,
    /// Torque at the fastener, tool, rounding and joints together.
    pub at_fastener: Range<Torque>,
    /// Torque at the fastener at the mean of the joints' turn and no tool error.
    pub mean: Torque,
    /// Deviation of the preload through tool and friction together.
    pub preload_fraction: f64,
    /// How it fits.
    pub fit: WrenchFit,
}

/// The wrenches that do, best first, and those that do not.
#[derive(Debug, Clone, PartialEq)]
pub struct WrenchChoice {
    /// Best first.
    pub fitting: Vec<WrenchSetting>,
    /// The others with their reason.
    pub unfit: Vec<(String, WrenchUnfit)>,
}

impl WrenchChoice {
    /// The best one.
    #[must_use]
    pub fn best_setting(&self) -> Option<&WrenchSetting> {
        self.fitting.first()
    }
}

/// Sorts the mechanic's wrenches for a task: the narrowest torque at the fastener first, then the better part of the range.
#[must_use]
pub fn choose_wrench(task: &WrenchTask, wrenches: &[TorqueWrench]) -> WrenchChoice {
    let mut choice = WrenchChoice { fitting: Vec::new(), unfit: Vec::new() };
    for wrench in wrenches {
        match setting_on_wrench(task, wrench) {
            Ok(option) => choice.fitting.push(option),
            Err(unfit) => choice.unfit.push((wrench.name.clone(), unfit)),
        }
    }
    choice.fitting.sort_by(|a, b| compare_settings(a, b, task.torque));
    choice
}

fn compare_settings(a: &WrenchSetting, b: &WrenchSetting, wanted: Torque) -> Ordering {
    let off = |o: &WrenchSetting| {
        (o.at_fastener.high() - wanted).as_n_m().max((wanted - o.at_fastener.low()).as_n_m())
    };
    off(a).total_cmp(&off(b)).then(a.fit.cmp(&b.fit)).then_with(|| a.name.cmp(&b.name))
}

/// What one wrench would do.
///
/// # Errors
/// [`WrenchUnfit`] when the setting lies outside its usable range or its scale is too coarse.
pub fn setting_on_wrench(task: &WrenchTask, wrench: &TorqueWrench) -> Result<WrenchSetting, WrenchUnfit> {
    let exact = task.offset.map_or(task.torque, |offset| offset.setting_for(task.torque));
    let rounded = wrench::round_setting(exact, wrench.step);
    let full_scale = wrench.scale.high();
    let fit = wrench::judge_wrench_fit(rounded.setting, full_scale);
    if fit == WrenchFit::CannotReach || rounded.setting > full_scale {
        return Err(WrenchUnfit::CannotReach);
    }
    if fit == WrenchFit::TooLow || rounded.setting < wrench.scale.low() {
        return Err(WrenchUnfit::TooLow);
    }
    if !rounded.is_fine_enough {
        return Err(WrenchUnfit::TooCoarse);
    }
    let class_fraction = wrench.class.tolerance_fraction(full_scale);
    let tool_fraction = wrench.certified_error_fraction.map_or(class_fraction, |c| c.clamp(0.0, 0.5));
    let set = task.offset.map_or(rounded.setting, |offset| offset.torque_at_fastener(rounded.setting));
    let ratios = task.joints.iter().map(|angle| torque_ratio(*angle));
    let (least, mean, greatest) = ratios
        .fold((1.0, 1.0, 1.0), |(l, m, g), r| (l * r.least_ratio, m * r.mean_ratio, g * r.greatest_ratio));
    // The permitted error is that of the reading against the true torque, (shown − true)/true.
    let low = set * (least / (1.0 + tool_fraction));
    let high = set * (greatest / (1.0 - tool_fraction));
    Ok(WrenchSetting {
        name: wrench.name.clone(),
        exact,
        setting: rounded.setting,
        rounding_fraction: rounded.error_fraction,
        tool_fraction,
        at_fastener: Range::new(low, high.max(low)).expect("the high end was raised to the low one"),
        mean: set * mean,
        preload_fraction: combined_deviation_fraction(&[tool_fraction, task.friction_fraction]),
        fit,
    })
}
