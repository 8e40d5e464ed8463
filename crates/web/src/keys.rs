//! Keys of devices: made here, shown once, kept as hashes; and codes that pair a device once.
//!
//! A device shows its id and a key of 256 random bits in a cookie. The archive holds the SHA-256 of the key, so that a
//! stolen backup opens nothing. A code for pairing is good for ten minutes and for one device.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use app::workshop::{Device, DeviceId, content_name, new_id, now_ms};

/// How long a code for pairing is good.
const CODE_LIFE: Duration = Duration::from_secs(600);

/// Wrong codes before all codes are void.
const MAX_WRONG_CODES: u32 = 20;

/// Letters of a code, without those that are misread.
const CODE_LETTERS: &[u8; 32] = b"ABCDEFGHJKMNPQRSTVWXYZ0123456789";

/// Name of the cookie.
pub(crate) const COOKIE: &str = "tray-device";

/// Codes that wait for a device.
#[derive(Default)]
struct PairingCodes {
    open: BTreeMap<String, Instant>,
    wrong: u32,
}

/// Keys of devices and codes for pairing.
pub(crate) struct DeviceKeys {
    devices: Mutex<BTreeMap<DeviceId, Device>>,
    codes: Mutex<PairingCodes>,
}

/// A device with the cookie that is its key.
pub(crate) struct NewDeviceKey {
    /// What the archive keeps.
    pub(crate) device: Device,
    /// What the device keeps.
    pub(crate) cookie: String,
}

fn system_random_bytes<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    bytes
}

impl DeviceKeys {
    pub(crate) fn new(devices: Vec<Device>) -> Self {
        let devices = devices.into_iter().map(|device| (device.id.clone(), device)).collect();
        Self { devices: Mutex::new(devices), codes: Mutex::default() }
    }

    /// A new code for pairing one device; it counts as made at `made`.
    pub(crate) fn new_code(&self, made: Instant) -> String {
        let code: String = system_random_bytes::<12>()
            .iter()
            .map(|byte| char::from(CODE_LETTERS[usize::from(byte % 32)]))
            .collect();
        let mut codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        codes.open.retain(|_, made| made.elapsed() < CODE_LIFE);
        codes.wrong = 0;
        codes.open.insert(code.clone(), made);
        code
    }

    /// Uses up a code.
    pub(crate) fn take_code(&self, code: &str) -> bool {
        let mut codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        codes.open.retain(|_, made| made.elapsed() < CODE_LIFE);
        if codes.open.remove(code).is_some() {
            return true;
        }
        codes.wrong += 1;
        if codes.wrong >= MAX_WRONG_CODES {
            codes.open.clear();
        }
        false
    }

    /// A key for a new device; the caller keeps the device in the archive and then calls [`DeviceKeys::learn_device`].
    pub(crate) fn make_key(name: &str) -> NewDeviceKey {
        let key: String = system_random_bytes::<32>().iter().map(|byte| format!("{byte:02x}")).collect();
        let id = DeviceId::new(&new_id()).expect("letters and figures");
        let device = Device {
            id,
            name: name.to_owned(),
            key: Some(content_name(key.as_bytes())),
            person: None,
            paired_ms: now_ms(),
            revoked_ms: None,
        };
        NewDeviceKey { cookie: format!("{}.{key}", device.id), device }
    }

    /// Records a device, or that its key has been revoked.
    pub(crate) fn learn_device(&self, device: Device) {
        let mut devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        devices.insert(device.id.clone(), device);
    }

    /// The device of a cookie's value, where its key is right and not taken back.
    pub(crate) fn device_of_cookie(&self, cookie: &str) -> Option<Device> {
        let (id, key) = cookie.split_once('.')?;
        let devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        let device = devices.get(&DeviceId::new(id)?)?;
        // Hashes are compared, so that the time taken reveals nothing about the key.
        (device.key == Some(content_name(key.as_bytes())) && device.revoked_ms.is_none())
            .then(|| device.clone())
    }

    /// A device by its id.
    pub(crate) fn device_by_id(&self, id: &str) -> Option<Device> {
        let devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        devices.get(&DeviceId::new(id)?).cloned()
    }

    /// Records the devices of another journal in the place of those known.
    pub(crate) fn learn_all(&self, devices: Vec<Device>) {
        let devices = devices.into_iter().map(|device| (device.id.clone(), device)).collect();
        *self.devices.lock().unwrap_or_else(PoisonError::into_inner) = devices;
    }

    /// All devices.
    pub(crate) fn all_devices(&self) -> Vec<Device> {
        let devices = self.devices.lock().unwrap_or_else(PoisonError::into_inner);
        devices.values().cloned().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once() {
        let keys = DeviceKeys::new(Vec::new());
        let code = keys.new_code(Instant::now());
        assert!(keys.take_code(&code));
        assert!(!keys.take_code(&code));
    }

    #[test]
    fn guessing_makes_all_codes_void() {
        let keys = DeviceKeys::new(Vec::new());
        let code = keys.new_code(Instant::now());
        for _ in 0..MAX_WRONG_CODES {
            assert!(!keys.take_code("GUESS"));
        }
        assert!(!keys.take_code(&code));
    }

    #[test]
    fn a_key_opens_until_it_is_taken_back() {
        let keys = DeviceKeys::new(Vec::new());
        let mut paired = DeviceKeys::make_key("tablet");
        assert!(keys.device_of_cookie(&paired.cookie).is_none(), "not yet known");
        keys.learn_device(paired.device.clone());
        assert_eq!(keys.device_of_cookie(&paired.cookie), Some(paired.device.clone()));
        assert!(
            !paired.cookie.contains(paired.device.key.as_ref().expect("a new key").as_str()),
            "the archive does not hold the key"
        );
        for wrong in ["", ".", &format!("{}.", paired.device.id), &format!("{}x", paired.cookie)] {
            assert!(keys.device_of_cookie(wrong).is_none(), "{wrong}");
        }
        paired.device.revoked_ms = Some(1);
        keys.learn_device(paired.device);
        assert!(keys.device_of_cookie(&paired.cookie).is_none());
    }
}
