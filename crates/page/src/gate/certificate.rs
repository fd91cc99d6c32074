//! The book's own certificate authority, and a certificate from it for this machine's addresses.
//!
//! The authority is made once and kept beside the book. What it may vouch for is written into it (RFC 5280, 4.2.1.10): private addresses
//! and names under `.local`, for servers only; so a stolen key cannot pass for a bank before any system that heeds this. The machine's own
//! certificate is made anew at every start and never leaves memory.

use std::net::Ipv4Addr;
use std::sync::Arc;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Span, Timestamp, ToSpan};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints, SanType,
};
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use sha2::{Digest, Sha256};

use crate::PageError;
use crate::gate::keep::Keep;

const KEY: &str = "authority.key";
const CERTIFICATE: &str = "authority.crt";
/// The authority's life; installing it anew on every device every year would teach people to click warnings away.
const AUTHORITY_YEARS: i16 = 10;
/// The machine's certificate's life: below the 398 days that phones take as the most.
const LEAF_DAYS: i32 = 390;
/// Devices' clocks may be behind by this.
const CLOCK_DAYS: i32 = 2;
/// Private ranges (RFC 1918), link-local (RFC 3927) and loopback: address and length of its prefix.
const RANGES: [([u8; 4], u8); 5] = [
    ([10, 0, 0, 0], 8),
    ([172, 16, 0, 0], 12),
    ([192, 168, 0, 0], 16),
    ([169, 254, 0, 0], 16),
    ([127, 0, 0, 0], 8),
];

/// An authority that can vouch for this machine.
pub(crate) struct Authority {
    certificate: CertificateDer<'static>,
    pem: String,
    issuer: Issuer<'static, KeyPair>,
}

impl Authority {
    /// The one kept, or a new one, kept from now on.
    pub(crate) fn of(keep: &Keep) -> Result<Self, PageError> {
        if let (Some(key), Some(pem)) = (keep.read(KEY)?, keep.read(CERTIFICATE)?) {
            return Self::read(&key, pem).map_err(|why| {
                PageError::Lan(format!(
                    "the authority in {} cannot be read: {why}; remove {KEY} and {CERTIFICATE} there to make a new one, which every device must then be given anew",
                    keep.path().display()
                ))
            });
        }
        let (key, authority) = Self::made().map_err(cannot_make)?;
        keep.write(KEY, &key)?;
        keep.write(CERTIFICATE, &authority.pem)?;
        Ok(authority)
    }

    fn made() -> Result<(String, Self), rcgen::Error> {
        let key = KeyPair::generate()?;
        let written = key.serialize_pem();
        let params = authority_params(&key);
        let made = params.self_signed(&key)?;
        let authority = Self {
            certificate: made.der().clone(),
            pem: made.pem(),
            issuer: Issuer::new(params, key),
        };
        Ok((written, authority))
    }

    fn read(key: &str, pem: String) -> Result<Self, String> {
        let key = KeyPair::from_pem(key).map_err(|why| why.to_string())?;
        let certificate =
            CertificateDer::from_pem_slice(pem.as_bytes()).map_err(|why| why.to_string())?;
        // Its name follows from its key, so an issuer made from the key alone is the one kept.
        let issuer = Issuer::new(authority_params(&key), key);
        Ok(Self {
            certificate,
            pem,
            issuer,
        })
    }

    /// Its certificate as text, for a device to install.
    pub(crate) fn pem(&self) -> &str {
        &self.pem
    }

    /// Its certificate's bytes.
    pub(crate) fn der(&self) -> &[u8] {
        &self.certificate
    }

    /// SHA-256 of its certificate in pairs of figures, as every system shows it.
    pub(crate) fn fingerprint(&self) -> String {
        let pairs = Sha256::digest(&self.certificate);
        let pairs: Vec<String> = pairs.iter().map(|byte| format!("{byte:02X}")).collect();
        pairs.join(":")
    }

    /// What a server needs to speak as this machine under these addresses and this name.
    pub(crate) fn server(
        &self,
        addresses: &[Ipv4Addr],
        name: Option<&str>,
    ) -> Result<Arc<ServerConfig>, PageError> {
        let (chain, key) = self.leaf(addresses, name).map_err(cannot_make)?;
        ServerConfig::builder_with_provider(Arc::new(rustls::crypto::ring::default_provider()))
            .with_safe_default_protocol_versions()
            .and_then(|builder| builder.with_no_client_auth().with_single_cert(chain, key))
            .map(Arc::new)
            .map_err(|why| PageError::Lan(format!("TLS cannot be set up: {why}")))
    }

    fn leaf(
        &self,
        addresses: &[Ipv4Addr],
        name: Option<&str>,
    ) -> Result<(Vec<CertificateDer<'static>>, PrivateKeyDer<'static>), rcgen::Error> {
        let key = KeyPair::generate()?;
        let mut params = CertificateParams::default();
        for address in addresses {
            params
                .subject_alt_names
                .push(SanType::IpAddress((*address).into()));
        }
        if let Some(name) = name {
            params
                .subject_alt_names
                .push(SanType::DnsName(name.try_into()?));
        }
        params.distinguished_name = named("Windfall page");
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        lives(&mut params, (LEAF_DAYS - CLOCK_DAYS).days());
        let leaf = params.signed_by(&key, &self.issuer)?;
        let secret = PrivateKeyDer::try_from(key.serialize_der())
            .map_err(|_| rcgen::Error::CouldNotParseKeyPair)?;
        Ok((vec![leaf.der().clone(), self.certificate.clone()], secret))
    }
}

impl std::fmt::Debug for Authority {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Never the key.
        f.debug_struct("Authority")
            .field("fingerprint", &self.fingerprint())
            .finish_non_exhaustive()
    }
}

fn authority_params(key: &KeyPair) -> CertificateParams {
    let mut params = CertificateParams::default();
    let id: String = params
        .key_identifier(key)
        .iter()
        .take(4)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    params.distinguished_name = named(&format!("Windfall book {id}"));
    // It signs machines, never another authority.
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    let ranges = RANGES.map(|(address, prefix)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix(address, prefix))
    });
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: ranges
            .into_iter()
            .chain([GeneralSubtree::DnsName("local".to_owned())])
            .collect(),
        excluded_subtrees: Vec::new(),
    });
    lives(&mut params, AUTHORITY_YEARS.years());
    params
}

fn named(name: &str) -> DistinguishedName {
    let mut named = DistinguishedName::new();
    named.push(DnType::CommonName, name);
    named
}

/// From a little before today until so long after it.
fn lives(params: &mut CertificateParams, long: Span) {
    let day = |date: Date| {
        let part = |n: i8| u8::try_from(n).unwrap_or(1);
        rcgen::date_time_ymd(date.year().into(), part(date.month()), part(date.day()))
    };
    let today = Timestamp::now().to_zoned(TimeZone::UTC).date();
    params.not_before = day(today.saturating_sub(CLOCK_DAYS.days()));
    params.not_after = day(today.saturating_add(long));
}

fn cannot_make(why: rcgen::Error) -> PageError {
    PageError::Lan(format!("a certificate cannot be made: {why}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustls::pki_types::{ServerName, UnixTime};

    /// Whether a careful client that trusts the authority believes a certificate for an address or name.
    fn believed(authority: &Authority, leaf: &CertificateDer<'static>, who: &str) -> bool {
        let mut roots = rustls::RootCertStore::empty();
        roots.add(authority.certificate.clone()).unwrap();
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let verifier =
            rustls::client::WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider)
                .build()
                .unwrap();
        let name = ServerName::try_from(who.to_owned()).unwrap();
        rustls::client::danger::ServerCertVerifier::verify_server_cert(
            &*verifier,
            leaf,
            &[],
            &name,
            &[],
            UnixTime::now(),
        )
        .is_ok()
    }

    #[test]
    fn it_vouches_for_this_network_and_for_nothing_else() {
        let (_, authority) = Authority::made().unwrap();
        let here = [Ipv4Addr::new(192, 168, 1, 20), Ipv4Addr::new(10, 1, 2, 3)];
        let (chain, _) = authority.leaf(&here, Some("bench.local")).unwrap();
        for who in ["192.168.1.20", "10.1.2.3", "bench.local"] {
            assert!(believed(&authority, &chain[0], who), "{who}");
        }
        assert!(!believed(&authority, &chain[0], "192.168.1.21"));
        // Whoever has the key can sign for anything; a client that heeds the constraints believes none of it.
        let (public, _) = authority
            .leaf(&[Ipv4Addr::new(203, 0, 113, 9)], None)
            .unwrap();
        assert!(!believed(&authority, &public[0], "203.0.113.9"));
        let (site, _) = authority.leaf(&[], Some("bank.example.org")).unwrap();
        assert!(!believed(&authority, &site[0], "bank.example.org"));
        let (_, other) = Authority::made().unwrap();
        assert!(!believed(&other, &chain[0], "192.168.1.20"));
    }

    #[test]
    fn the_one_kept_is_the_one_used_next_time() {
        let (key, made) = Authority::made().unwrap();
        let read = Authority::read(&key, made.pem.clone()).unwrap();
        assert_eq!(read.fingerprint(), made.fingerprint());
        assert_eq!(made.fingerprint().len(), 32 * 3 - 1);
        let here = [Ipv4Addr::new(192, 168, 1, 20)];
        let (chain, _) = read.leaf(&here, None).unwrap();
        assert!(believed(&made, &chain[0], "192.168.1.20"));
        assert!(Authority::read("nonsense", made.pem).is_err());
    }
}
