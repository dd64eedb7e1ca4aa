package pair

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var at = time.Date(2026, 11, 20, 18, 30, 0, 0, time.UTC)

func newAuthority(t *testing.T, addresses bool) *Authority {
	a, err := NewAuthority("", addresses, at)
	require.NoError(t, err)
	return a
}

// stolen signs, with the issuing key, a certificate for whatever is asked.
func stolen(t *testing.T, a *Authority, names []string, ips ...string) *x509.Certificate {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	c := &x509.Certificate{
		Subject: pkix.Name{CommonName: "server"}, NotBefore: at.Add(-time.Hour), NotAfter: at.Add(24 * time.Hour), DNSNames: names,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
	}
	for _, ip := range ips {
		c.IPAddresses = append(c.IPAddresses, net.ParseIP(ip))
	}
	cert, err := sign(c, a.issuing, &key.PublicKey, a.key)
	require.NoError(t, err)
	return cert
}

// Whoever has the issuing key can speak for this garage and for nobody else. Name
// constraints: RFC 5280, 4.2.1.10. OpenSSL, where it is installed, has the same
// table to judge.
func TestNameConstraints(t *testing.T) {
	openssl, missing := exec.LookPath("openssl")
	if missing != nil {
		t.Log("openssl is not installed: only Go has judged")
	}
	for _, mode := range []struct {
		addresses bool
		good      []string // addresses
		bad       []string
	}{
		{false, nil, []string{"192.168.1.20", "10.0.0.1", "93.184.215.14", "127.0.0.1", "fd00::1", "2606:2800:21f::1"}},
		{true, []string{"192.168.1.20", "10.0.0.1", "172.16.5.4", "172.31.255.255", "fd00::1"}, []string{"93.184.215.14", "172.32.0.1", "192.169.0.1", "127.0.0.1", "2606:2800:21f::1"}},
	} {
		a := newAuthority(t, mode.addresses)
		dir := t.TempDir()
		file := func(name string, c *x509.Certificate) string {
			path := filepath.Join(dir, name)
			require.NoError(t, os.WriteFile(path, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: c.Raw}), 0o600))
			return path
		}
		root, issuing := file("root.pem", a.root), file("issuing.pem", a.issuing)
		judge := func(name string, c *x509.Certificate, want bool) {
			roots, between := x509.NewCertPool(), x509.NewCertPool()
			roots.AddCert(a.root)
			between.AddCert(a.issuing)
			host := name
			if net.ParseIP(name) != nil {
				host = "[" + name + "]" // as crypto/x509 wants an address
			}
			_, err := c.Verify(x509.VerifyOptions{Roots: roots, Intermediates: between, DNSName: host, CurrentTime: at})
			require.Equal(t, want, err == nil, "%s in Go: %v", name, err)
			if missing != nil {
				return
			}
			option := "-verify_hostname"
			if net.ParseIP(name) != nil {
				option = "-verify_ip"
			}
			out, err := exec.Command(openssl, "verify", "-x509_strict", "-purpose", "sslserver", "-attime", strconv.FormatInt(at.Unix(), 10),
				"-CAfile", root, "-untrusted", issuing, option, name, file("leaf.pem", c)).CombinedOutput()
			require.Equal(t, want, err == nil, "%s in openssl: %s", name, out)
		}
		own, err := a.certificate(at, addresses(mode.good))
		require.NoError(t, err)
		judge(a.Name, own.Leaf, true)
		for _, ip := range mode.good {
			judge(ip, own.Leaf, true)
			judge(ip, stolen(t, a, nil, ip), true)
		}
		for _, ip := range mode.bad {
			judge(ip, stolen(t, a, nil, ip), false)
			judge(a.Name, stolen(t, a, []string{a.Name}, ip), false) // in company, too
		}
		for _, name := range []string{"example.com", "garage-other1.local", "local", "x" + a.Name, "localhost"} {
			judge(name, stolen(t, a, []string{name}), false)
			judge(a.Name, stolen(t, a, []string{a.Name, name}), false)
		}
	}
}

func addresses(list []string) (out []netip.Addr) {
	for _, a := range list {
		out = append(out, netip.MustParseAddr(a))
	}
	return out
}

// An authority below the issuing one is good for nothing, nor is a certificate
// for another purpose.
func TestNoFurther(t *testing.T) {
	a := newAuthority(t, false)
	roots := x509.NewCertPool()
	roots.AddCert(a.root)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	below, err := sign(a.template("below", at), a.issuing, &key.PublicKey, a.key)
	require.NoError(t, err)
	b := &Authority{Name: a.Name, root: a.root, issuing: below, key: key}
	between := x509.NewCertPool()
	between.AddCert(a.issuing)
	between.AddCert(below)
	_, err = stolen(t, b, []string{a.Name}).Verify(x509.VerifyOptions{Roots: roots, Intermediates: between, DNSName: a.Name, CurrentTime: at})
	require.ErrorContains(t, err, "too many intermediates")
	_, err = stolen(t, a, []string{a.Name}).Verify(x509.VerifyOptions{Roots: roots, Intermediates: between, CurrentTime: at, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageCodeSigning}})
	require.ErrorContains(t, err, "incompatible key usage")
}

// What the certificates say of themselves. 397 days: the limit of browsers less
// one; Apple 103769 asks of private authorities for 825 days at most, a SAN, and
// the purpose serverAuth.
func TestCertificates(t *testing.T) {
	a := newAuthority(t, false)
	require.Regexp(t, `^garage-[a-z2-7]{6}\.local$`, a.Name)
	for _, c := range []*x509.Certificate{a.root, a.issuing} {
		require.True(t, c.IsCA && c.PermittedDNSDomainsCritical)
		require.Equal(t, []string{a.Name}, c.PermittedDNSDomains)
		require.Len(t, c.ExcludedIPRanges, 2)
		require.Equal(t, []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, c.ExtKeyUsage)
		require.Equal(t, elliptic.P256(), c.PublicKey.(*ecdsa.PublicKey).Curve)
	}
	require.True(t, a.issuing.MaxPathLenZero && a.issuing.MaxPathLen == 0)

	first, err := a.certificate(at, nil)
	require.NoError(t, err)
	leaf := first.Leaf
	require.Less(t, leaf.NotAfter.Sub(leaf.NotBefore), 397*24*time.Hour)
	require.Equal(t, []string{a.Name}, leaf.DNSNames)
	require.False(t, leaf.IsCA)

	again, err := a.certificate(leaf.NotAfter.Add(-leafRenew-time.Second), nil)
	require.NoError(t, err)
	require.Same(t, first, again)
	renewed, err := a.certificate(leaf.NotAfter.Add(-leafRenew), nil)
	require.NoError(t, err)
	require.NotEqual(t, leaf.SerialNumber, renewed.Leaf.SerialNumber)
	require.True(t, renewed.Leaf.NotAfter.After(leaf.NotAfter))

	last, err := a.certificate(a.issuing.NotAfter.Add(-time.Minute), nil)
	require.NoError(t, err)
	require.Equal(t, a.issuing.NotAfter, last.Leaf.NotAfter)
	_, err = a.certificate(a.issuing.NotAfter, nil)
	require.ErrorContains(t, err, "the authority of "+a.Name+" ended on 2036-11-17")
}

func TestAuthorityOnDisk(t *testing.T) {
	dir := t.TempDir()
	_, err := ReadAuthority(dir)
	require.ErrorIs(t, err, fs.ErrNotExist)
	a := newAuthority(t, true)
	a.Port = 7342
	require.NoError(t, a.Write(dir))
	b, err := ReadAuthority(dir)
	require.NoError(t, err)
	require.Equal(t, []any{a.Name, true, 7342, a.Fingerprint()}, []any{b.Name, b.Addresses, b.Port, b.Fingerprint()})
	require.True(t, a.key.Equal(b.key))
	path := filepath.Join(dir, authorityFile)
	if runtime.GOOS != "windows" { // modes mean nothing there
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
	}

	// One private key is on the disk, and it is not the root's.
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	require.Equal(t, []string{path}, left)
	require.False(t, b.key.PublicKey.Equal(b.root.PublicKey))

	data, err := os.ReadFile(path)
	require.NoError(t, err)
	for old, bad := range map[string]string{authorityFormat: "another/9", `"key": "M`: `"key": "A`} {
		require.NoError(t, os.WriteFile(path, bytes.Replace(data, []byte(old), []byte(bad), 1), 0o600))
		_, err = ReadAuthority(dir)
		require.ErrorContains(t, err, "read authority.json: ")
		require.ErrorContains(t, err, "move the file away")
	}
}
