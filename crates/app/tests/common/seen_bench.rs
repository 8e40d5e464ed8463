//! A visit to an engine that nobody has described, told by one device.

use app::ask::SilentObserver;
use app::record::{DeviceId, VisitBody, VisitId};
use app::workshop::{NewVisit, Workshop};

/// The workshop with its only visit.
pub struct Bench {
    pub shop: Workshop,
    pub visit: VisitId,
    pub device: DeviceId,
}

impl Bench {
    pub fn begin() -> Self {
        let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
        let mut shop = Workshop::over_archive(archive).expect("a workshop");
        let new = NewVisit { letter: "A".into(), name: "the grey van".into(), ..NewVisit::default() };
        let visit = shop.begin_visit(&new, &SilentObserver).expect("a visit");
        let device = shop.device().clone();
        Self { shop, visit, device }
    }

    pub fn say(&mut self, body: VisitBody) {
        self.shop.carry_out_command(&self.visit, &self.device, &body.into()).expect("it is so");
    }
}
