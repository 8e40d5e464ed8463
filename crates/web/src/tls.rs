//! HTTPS with a certificate of the workshop's own: made here, kept beside the archive, explained on the pages.
//!
//! A root certificate that signs this server's alone is made once; its key never leaves the folder and may be read by
//! its owner only. A device that trusts the root gets what browsers give to secure pages: it opens them without a connection,
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
    BasicConstraints, CertificateParams, DnType, ExtendedKeyUsagePurpose, IsCa, Issuer, KeyPair,
    KeyUsagePurpose, SanType,
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
    let root = root_params()?;
    let root_der = root_certificate(folder, &root, &root_key)?;
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

fn root_params() -> Result<CertificateParams, String> {
    let mut params = CertificateParams::new(Vec::new()).map_err(|error| error.to_string())?;
    params.distinguished_name.push(DnType::CommonName, "Traywright workshop root");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
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
        let text = fs::read_to_string(&path).map_err(|error| file_error_words(&path, &error))?;
        return KeyPair::from_pem(&text).map_err(|error| format!("{}: {error}", path.display()));
    }
    let key = KeyPair::generate().map_err(|error| error.to_string())?;
    fs::create_dir_all(folder).map_err(|error| file_error_words(folder, &error))?;
    write_for_owner(&path, &key.serialize_pem()).map_err(|error| file_error_words(&path, &error))?;
    Ok(key)
}

/// The root's certificate; made the first time, and again when its life is over.
fn root_certificate(
    folder: &Path,
    params: &CertificateParams,
    key: &KeyPair,
) -> Result<CertificateDer<'static>, String> {
    let path = folder.join(ROOT_FILE);
    let age = fs::metadata(&path).and_then(|data| data.modified()).ok().and_then(|at| at.elapsed().ok());
    if age.is_some_and(|age| age < DAY * (ROOT_DAYS - LEAF_DAYS)) {
        let der = fs::read(&path).map_err(|error| file_error_words(&path, &error))?;
        return Ok(CertificateDer::from(der));
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
