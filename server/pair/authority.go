package pair

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base32"
	"fmt"
	"math/big"
	"net"
	"net/netip"
	"strings"
	"sync"
	"time"
)

const (
	authorityFile   = "authority.json"
	authorityFormat = "ampwright-authority/1"
)

// How long certificates are good. A phone refuses a server's beyond 398 days if
// a public authority signed it, beyond 825 if a private one did (Apple, "Requirements
// for trusted certificates in iOS 13 and macOS 10.15").
const (
	authorityTime = 10 * 365 * 24 * time.Hour
	leafTime      = 397 * 24 * time.Hour
	leafEarly     = 24 * time.Hour      // before it is made: a phone's clock may be behind
	leafRenew     = 30 * 24 * time.Hour // before it ends
)

// An Authority signs the certificates of one garage's server. It is safe for
// concurrent use.
type Authority struct {
	Name      string // "garage-k3x7q2.local"
	Addresses bool   // its certificates may name private addresses
	Port      int    // of https; 0 until it has listened
	Laptops   bool   // other laptops of the garage are answered, too

	root, issuing *x509.Certificate
	key           *ecdsa.PrivateKey // of issuing

	mu   sync.Mutex
	leaf *tls.Certificate
}

// authorityJSON is an Authority on disk.
type authorityJSON struct {
	Format    string `json:"format"`
	Name      string `json:"name"`
	Addresses bool   `json:"addresses"`
	Port      int    `json:"port"`
	Laptops   bool   `json:"laptops,omitempty"`
	Root      []byte `json:"root"`
	Issuing   []byte `json:"issuing"`
	Key       []byte `json:"key"`
}

// newName returns a name that no other garage on the network is likely to have.
func newName() string {
	b := make([]byte, 5)
	rand.Read(b) // never fails
	return "garage-" + strings.ToLower(base32.StdEncoding.EncodeToString(b))[:6] + ".local"
}

// NewAuthority returns an authority for a name, or for a random one if it is "".
// Its root's key is gone when it returns.
func NewAuthority(name string, addresses bool, now time.Time) (*Authority, error) {
	if name == "" {
		name = newName()
	}
	a := &Authority{Name: name, Addresses: addresses}
	rootKey, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	if a.key, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader); err != nil {
		return nil, err
	}
	root := a.template("root", now)
	root.MaxPathLen = 1
	if a.root, err = sign(root, root, &rootKey.PublicKey, rootKey); err != nil {
		return nil, err
	}
	issuing := a.template("issuing", now)
	issuing.MaxPathLenZero = true
	a.issuing, err = sign(issuing, a.root, &a.key.PublicKey, rootKey)
	return a, err
}

// private are the addresses that nobody on the internet has (RFC 1918, RFC 4193).
var private = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"}

// template is what both of its certificates have in common.
func (a *Authority) template(what string, now time.Time) *x509.Certificate {
	t := &x509.Certificate{
		Subject:   pkix.Name{CommonName: a.Name + " " + what, Organization: []string{"Ampwright garage"}},
		NotBefore: now.Add(-leafEarly), NotAfter: now.Add(authorityTime),
		KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, IsCA: true,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: []string{a.Name},
	}
	if a.Addresses {
		t.PermittedIPRanges = networks(private...)
	} else {
		t.ExcludedIPRanges = networks("0.0.0.0/0", "::/0")
	}
	return t
}

func networks(prefixes ...string) (list []*net.IPNet) {
	for _, p := range prefixes {
		_, n, err := net.ParseCIDR(p)
		if err != nil {
			panic(err) // a constant above is wrong
		}
		list = append(list, n)
	}
	return list
}

func sign(t, parent *x509.Certificate, public *ecdsa.PublicKey, key *ecdsa.PrivateKey) (*x509.Certificate, error) {
	var err error
	if t.SerialNumber, err = rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127)); err != nil {
		return nil, err
	}
	der, err := x509.CreateCertificate(rand.Reader, t, parent, public, key)
	if err != nil {
		return nil, fmt.Errorf("make the certificate of %s: %w", t.Subject.CommonName, err)
	}
	return x509.ParseCertificate(der)
}

// ReadAuthority returns the authority kept in dir. Without one the error is
// fs.ErrNotExist.
func ReadAuthority(dir string) (*Authority, error) {
	var j authorityJSON
	if err := read(dir, authorityFile, &j); err != nil {
		return nil, err
	}
	wrong := func(what string, err error) (*Authority, error) {
		return nil, fmt.Errorf("read %s: %s: %w; move the file away and every phone must be told to trust a new one", authorityFile, what, err)
	}
	if j.Format != authorityFormat {
		return wrong("format", fmt.Errorf("%q, want %q", j.Format, authorityFormat))
	}
	a := &Authority{Name: j.Name, Addresses: j.Addresses, Port: j.Port, Laptops: j.Laptops}
	var err error
	if a.root, err = x509.ParseCertificate(j.Root); err != nil {
		return wrong("root", err)
	}
	if a.issuing, err = x509.ParseCertificate(j.Issuing); err != nil {
		return wrong("issuing", err)
	}
	key, err := x509.ParsePKCS8PrivateKey(j.Key)
	if err != nil {
		return wrong("key", err)
	}
	var ok bool
	if a.key, ok = key.(*ecdsa.PrivateKey); !ok || !a.key.PublicKey.Equal(a.issuing.PublicKey) {
		return wrong("key", fmt.Errorf("it is not the issuing certificate's"))
	}
	return a, nil
}

// Write keeps the authority in dir.
func (a *Authority) Write(dir string) error {
	key, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return err
	}
	return write(dir, authorityFile, authorityJSON{authorityFormat, a.Name, a.Addresses, a.Port, a.Laptops, a.root.Raw, a.issuing.Raw, key})
}

// Root returns the certificate that a phone is told to trust, in DER.
func (a *Authority) Root() []byte { return a.root.Raw }

// Fingerprint returns the SHA-256 of the root certificate: 32 bytes in hexadecimal
// digits with blanks between, where a line may break.
func (a *Authority) Fingerprint() string {
	sum := sha256.Sum256(a.root.Raw)
	return fmt.Sprintf("% X", sum[:])
}

// TLS returns what a listener needs. Its certificate names the garage and the
// addresses given, and is made anew before it ends.
func (a *Authority) TLS(now func() time.Time, addresses []netip.Addr) *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS13,
		NextProtos: []string{"http/1.1"}, // websockets ask for it, and one protocol is less to get wrong
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
			return a.certificate(now(), addresses)
		},
	}
}

// certificate returns the server's certificate of now.
func (a *Authority) certificate(now time.Time, addresses []netip.Addr) (*tls.Certificate, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.leaf != nil && now.Before(a.leaf.Leaf.NotAfter.Add(-leafRenew)) {
		return a.leaf, nil
	}
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	from := now.Add(-leafEarly)
	t := &x509.Certificate{
		Subject: pkix.Name{CommonName: a.Name}, NotBefore: from, NotAfter: from.Add(leafTime - time.Second), // both ends count
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, DNSNames: []string{a.Name},
	}
	if a.Addresses {
		for _, ip := range addresses {
			t.IPAddresses = append(t.IPAddresses, ip.AsSlice())
		}
	}
	if t.NotAfter.After(a.issuing.NotAfter) {
		t.NotAfter = a.issuing.NotAfter
	}
	if !now.Before(t.NotAfter) {
		return nil, fmt.Errorf("the authority of %s ended on %s; move %s away and every phone must be told to trust a new one", a.Name, a.issuing.NotAfter.Format(time.DateOnly), authorityFile)
	}
	leaf, err := sign(t, a.issuing, &key.PublicKey, a.key)
	if err != nil {
		return nil, err
	}
	a.leaf = &tls.Certificate{Certificate: [][]byte{leaf.Raw, a.issuing.Raw}, PrivateKey: key, Leaf: leaf}
	return a.leaf, nil
}
