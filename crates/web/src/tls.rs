//! HTTPS with a certificate of the workshop's own: made here, kept beside the archive, explained on the pages.
//!
//! A root certificate is made once. It can sign names of a workshop's own network and no other (RFC 5280, 4.2.1.10): addresses of
//! private networks, names under `local`, and the names that the server was given. Its key never leaves the folder and may be read
//! by its owner only. A device that trusts the root gets what browsers give to secure pages: it opens them without a connection,
//! and keeps its screen on. The server's own certificate is made anew at each start.

use std::fs;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose, GeneralSubtree, IsCa,
    Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

use crate::bench_state::SharedBench;
use crate::server::{ServeError, ServerAddresses};

const DAY: Duration = Duration::from_secs(86_400);

/// Life of the server's certificate; some phones refuse more than 825 days (from memory).
const LEAF_DAYS: u32 = 800;

/// Life of the root.
const ROOT_DAYS: u32 = 3_650;

const ROOT_FILE: &str = "workshop-root.crt";
const KEY_FILE: &str = "workshop-root.key";

/// A server that speaks HTTPS on an open port.
pub(crate) fn https_server(
    folder: &Path,
    listener: TcpListener,
    addresses: &ServerAddresses,
) -> Result<axum_server::Server<SocketAddr, RustlsAcceptor>, ServeError> {
    let config = tls_configuration(folder, addresses).map_err(ServeError::Certificate)?;
    axum_server::from_tcp_rustls(listener, RustlsConfig::from_config(Arc::new(config)))
        .map_err(ServeError::Broke)
}

fn tls_configuration(folder: &Path, addresses: &ServerAddresses) -> Result<rustls::ServerConfig, String> {
    let words = |error: rcgen::Error| error.to_string();
    let root_key = root_key(folder)?;
    let root = root_params(addresses)?;
    let root_der = root_certificate(folder, (&root, addresses), &root_key)?;
    let key = KeyPair::generate().map_err(words)?;
    let issuer = Issuer::from_params(&root, &root_key);
    let leaf = leaf_params(addresses)?.signed_by(&key, &issuer).map_err(words)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(|error| error.to_string())?
        .with_no_client_auth()
        .with_single_cert(
            vec![leaf.der().clone(), root_der],
            PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key.serialize_der())),
        )
        .map_err(|error| error.to_string())
}

/// Addresses that a workshop's own network has (RFC 1918, RFC 3927, and this machine), with the length of the part that is fixed.
const OWN_NETWORKS: [([u8; 4], u8); 5] = [
    ([127, 0, 0, 0], 8),
    ([10, 0, 0, 0], 8),
    ([172, 16, 0, 0], 12),
    ([192, 168, 0, 0], 16),
    ([169, 254, 0, 0], 16),
];

/// What the root may sign, and nothing else.
fn own_names(addresses: &ServerAddresses) -> NameConstraints {
    let dns = ["localhost", "local"].into_iter().map(str::to_owned).chain(addresses.names.iter().cloned());
    let networks =
        OWN_NETWORKS.map(|(address, fixed)| CidrSubnet::from_v4_prefix(address, fixed)).into_iter();
    let networks =
        networks.chain(public_address(addresses).map(|address| CidrSubnet::from_v4_prefix(address, 32)));
    let permitted_subtrees =
        dns.map(GeneralSubtree::DnsName).chain(networks.map(GeneralSubtree::IpAddress)).collect();
    NameConstraints { permitted_subtrees, excluded_subtrees: Vec::new() }
}

/// The address of this machine where its network is none of a workshop's own.
fn public_address(addresses: &ServerAddresses) -> Option<[u8; 4]> {
    let IpAddr::V4(address) = addresses.network? else { return None };
    let is_own = address.is_private() || address.is_loopback() || address.is_link_local();
    (!is_own).then(|| address.octets())
}

/// Whether a kept root is held to names, and to those of this server among them.
fn is_held_to_names(der: &[u8], addresses: &ServerAddresses) -> bool {
    // The object identifier of name constraints, 2.5.29.30; names stand in it as they are written.
    const NAME_CONSTRAINTS: [u8; 5] = [0x06, 0x03, 0x55, 0x1d, 0x1e];
    let holds = |bytes: &[u8]| der.windows(bytes.len().max(1)).any(|part| part == bytes);
    let holds_name = |name: &String| name.ends_with(".local") || holds(name.as_bytes());
    let one = |address: [u8; 4]| [address, [u8::MAX; 4]].concat();
    holds(&NAME_CONSTRAINTS)
        && addresses.names.iter().all(holds_name)
        && public_address(addresses).is_none_or(|address| holds(&one(address)))
}

fn root_params(addresses: &ServerAddresses) -> Result<CertificateParams, String> {
    let mut params = CertificateParams::new(Vec::new()).map_err(|error| error.to_string())?;
    params.distinguished_name.push(DnType::CommonName, "Traywright workshop root");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.name_constraints = Some(own_names(addresses));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.not_before = (SystemTime::now() - DAY).into();
    params.not_after = (SystemTime::now() + DAY * ROOT_DAYS).into();
    Ok(params)
}

fn leaf_params(addresses: &ServerAddresses) -> Result<CertificateParams, String> {
    let mut names = vec![String::from("localhost")];
    names.extend(addresses.names.iter().cloned());
    let mut params = CertificateParams::new(names).map_err(|error| error.to_string())?;
    params.distinguished_name.push(DnType::CommonName, "Traywright bench");
    params.subject_alt_names.push(SanType::IpAddress(IpAddr::V4(Ipv4Addr::LOCALHOST)));
    params.subject_alt_names.extend(addresses.network.map(SanType::IpAddress));
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.not_before = (SystemTime::now() - DAY).into();
    params.not_after = (SystemTime::now() + DAY * LEAF_DAYS).into();
    Ok(params)
}

/// The root's key; made the first time.
fn root_key(folder: &Path) -> Result<KeyPair, String> {
    let path = folder.join(KEY_FILE);
    if path.exists() {
        close_to_others(&path).map_err(|error| file_error_words(&path, &error))?;
        let text = fs::read_to_string(&path).map_err(|error| file_error_words(&path, &error))?;
        return KeyPair::from_pem(&text).map_err(|error| format!("{}: {error}", path.display()));
    }
    let key = KeyPair::generate().map_err(|error| error.to_string())?;
    fs::create_dir_all(folder).map_err(|error| file_error_words(folder, &error))?;
    write_for_owner(&path, &key.serialize_pem()).map_err(|error| file_error_words(&path, &error))?;
    Ok(key)
}

/// The root's certificate; made the first time, and again when its life is over, when the clock was wrong at its making, or when it
/// is not held to the names of this server: then devices have to trust it anew.
fn root_certificate(
    folder: &Path,
    (params, addresses): (&CertificateParams, &ServerAddresses),
    key: &KeyPair,
) -> Result<CertificateDer<'static>, String> {
    let path = folder.join(ROOT_FILE);
    let age = fs::metadata(&path).and_then(|data| data.modified()).ok().and_then(|at| at.elapsed().ok());
    if age.is_some_and(|age| age < DAY * (ROOT_DAYS - LEAF_DAYS)) {
        let der = fs::read(&path).map_err(|error| file_error_words(&path, &error))?;
        if is_held_to_names(&der, addresses) {
            return Ok(CertificateDer::from(der));
        }
    }
    let certificate = params.self_signed(key).map_err(|error| error.to_string())?;
    fs::write(&path, certificate.der()).map_err(|error| file_error_words(&path, &error))?;
    Ok(certificate.der().clone())
}

fn file_error_words(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}

#[cfg(unix)]
fn write_for_owner(path: &PathBuf, text: &str) -> std::io::Result<()> {
    use std::io::Write;
    use std::os::unix::fs::OpenOptionsExt;
    let mut file = fs::OpenOptions::new().write(true).create_new(true).mode(0o600).open(path)?;
    file.write_all(text.as_bytes())
}

/// Takes a key file away from all but its owner.
#[cfg(unix)]
fn close_to_others(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let mode = fs::metadata(path)?.permissions().mode();
    if mode & 0o077 == 0 { Ok(()) } else { fs::set_permissions(path, fs::Permissions::from_mode(0o600)) }
}

#[cfg(not(unix))]
fn close_to_others(_: &Path) -> std::io::Result<()> {
    Ok(())
}

#[cfg(not(unix))]
fn write_for_owner(path: &PathBuf, text: &str) -> std::io::Result<()> {
    fs::write(path, text)
}

/// The root certificate, for devices that are to trust this workshop.
pub(crate) async fn serve_root_certificate(State(bench): State<SharedBench>) -> Response {
    let Some(folder) = bench.certificates.clone() else {
        return StatusCode::NOT_FOUND.into_response();
    };
    match fs::read(folder.join(ROOT_FILE)) {
        Ok(bytes) => ([(header::CONTENT_TYPE, "application/x-x509-ca-cert")], bytes).into_response(),
        Err(_) => StatusCode::NOT_FOUND.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn addresses(names: &[&str]) -> ServerAddresses {
        ServerAddresses {
            port: 8443,
            network: Some(IpAddr::from([192, 168, 1, 20])),
            names: names.iter().map(|name| (*name).to_owned()).collect(),
            https: true,
            first_code: String::new(),
        }
    }

    fn kept_root(folder: &Path) -> Vec<u8> {
        fs::read(folder.join(ROOT_FILE)).expect("the root is kept")
    }

    #[test]
    fn the_root_signs_names_of_the_workshop_only() {
        let folder = tempfile::tempdir().expect("a folder");
        tls_configuration(folder.path(), &addresses(&["bench.workshop.test"])).expect("a configuration");
        let root = kept_root(folder.path());
        assert!(is_held_to_names(&root, &addresses(&["bench.workshop.test"])));
        assert!(!is_held_to_names(&root, &addresses(&["bank.example"])));
        // Started again with the same name, devices go on trusting it; with another, it is made anew.
        tls_configuration(folder.path(), &addresses(&["bench.workshop.test"])).expect("a configuration");
        assert_eq!(kept_root(folder.path()), root);
        tls_configuration(folder.path(), &addresses(&["other.test"])).expect("a configuration");
        assert_ne!(kept_root(folder.path()), root);
    }

    #[test]
    fn a_root_that_may_sign_anything_is_made_anew() {
        let folder = tempfile::tempdir().expect("a folder");
        let key = root_key(folder.path()).expect("a key");
        let mut anything = root_params(&addresses(&[])).expect("parameters");
        anything.name_constraints = None;
        let wide = anything.self_signed(&key).expect("a certificate").der().to_vec();
        fs::write(folder.path().join(ROOT_FILE), &wide).expect("kept");
        assert!(!is_held_to_names(&wide, &addresses(&[])));
        tls_configuration(folder.path(), &addresses(&[])).expect("a configuration");
        assert!(is_held_to_names(&kept_root(folder.path()), &addresses(&[])));
    }

    #[cfg(unix)]
    #[test]
    fn the_key_is_for_its_owner_alone_whatever_it_was_before() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        root_key(folder.path()).expect("a key");
        let path = folder.path().join(KEY_FILE);
        let mode = || fs::metadata(&path).expect("the key").permissions().mode() & 0o777;
        assert_eq!(mode(), 0o600);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).expect("opened to others");
        root_key(folder.path()).expect("the same key");
        assert_eq!(mode(), 0o600);
    }
}
