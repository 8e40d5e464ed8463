//! Keys of devices: made here, shown once, kept as hashes; and codes that pair a device once.
//!
//! A device shows its id and a key of 256 random bits in a cookie. The archive holds the SHA-256 of the key, so that a
//! stolen backup opens nothing. A code for pairing is good for ten minutes and for one device.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use app::workshop::{Device, DeviceId, content_name, new_id, now_ms};

/// How long a code for pairing is good.
const CODE_LIFE: Duration = Duration::from_secs(600);

/// Wrong codes of one address before no code of it is looked at, until [`CODE_LIFE`] has passed since the first of them. Codes of
/// other addresses stay good: whoever guesses shuts out nobody but himself.
const MAX_WRONG_CODES: u32 = 8;

/// Addresses whose wrong codes are counted; with more, the oldest count is forgotten. Sixty random bits in ten minutes are not
/// guessed from any number of addresses.
const MAX_ADDRESSES: usize = 1_000;

/// Letters of a code, without those that are misread.
const CODE_LETTERS: &[u8; 32] = b"ABCDEFGHJKMNPQRSTVWXYZ0123456789";

/// Name of the cookie.
pub(crate) const COOKIE: &str = "tray-device";

/// Codes that wait for a device.
#[derive(Default)]
struct PairingCodes {
    open: BTreeMap<String, Instant>,
    /// Wrong codes by address, since the first of them.
    wrong: BTreeMap<IpAddr, (Instant, u32)>,
}

/// What became of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum CodeVerdict {
    /// It was good, and is used up.
    Good,
    /// It is not good.
    Wrong,
    /// This address has tried too many: no code of it is looked at for a while.
    TooMany,
}

impl PairingCodes {
    fn is_over_budget(&mut self, from: IpAddr) -> bool {
        self.wrong.retain(|_, (since, _)| since.elapsed() < CODE_LIFE);
        self.wrong.get(&from).is_some_and(|(_, count)| *count >= MAX_WRONG_CODES)
    }

    fn count_wrong(&mut self, from: IpAddr) {
        if self.wrong.len() >= MAX_ADDRESSES && !self.wrong.contains_key(&from) {
            let oldest = self.wrong.iter().min_by_key(|(_, (since, _))| *since).map(|(address, _)| *address);
            oldest.map(|address| self.wrong.remove(&address));
        }
        self.wrong.entry(from).or_insert((Instant::now(), 0)).1 += 1;
    }
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
        codes.open.insert(code.clone(), made);
        code
    }

    /// Uses up a code that came from an address.
    pub(crate) fn take_code(&self, code: &str, from: IpAddr) -> CodeVerdict {
        let mut codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        codes.open.retain(|_, made| made.elapsed() < CODE_LIFE);
        if codes.is_over_budget(from) {
            return CodeVerdict::TooMany;
        }
        if codes.open.remove(code).is_some() {
            return CodeVerdict::Good;
        }
        codes.count_wrong(from);
        CodeVerdict::Wrong
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

    const PHONE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 7));
    const STRANGER: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(192, 0, 2, 66));

    #[test]
    fn a_code_is_good_once() {
        let keys = DeviceKeys::new(Vec::new());
        let code = keys.new_code(Instant::now());
        assert_eq!(keys.take_code(&code, PHONE), CodeVerdict::Good);
        assert_eq!(keys.take_code(&code, PHONE), CodeVerdict::Wrong);
    }

    #[test]
    fn who_guesses_shuts_out_nobody_but_himself() {
        let keys = DeviceKeys::new(Vec::new());
        let code = keys.new_code(Instant::now());
        for _ in 0..MAX_WRONG_CODES {
            assert_eq!(keys.take_code("GUESS", STRANGER), CodeVerdict::Wrong);
        }
        assert_eq!(keys.take_code(&code, STRANGER), CodeVerdict::TooMany, "even the right one");
        assert_eq!(keys.take_code(&code, PHONE), CodeVerdict::Good);
    }

    #[test]
    fn wrong_codes_of_many_addresses_are_counted_within_bounds() {
        let keys = DeviceKeys::new(Vec::new());
        for n in 0..2 * MAX_ADDRESSES as u32 {
            keys.take_code("GUESS", IpAddr::V4(std::net::Ipv4Addr::from_bits(n)));
        }
        assert_eq!(keys.codes.lock().unwrap_or_else(PoisonError::into_inner).wrong.len(), MAX_ADDRESSES);
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
