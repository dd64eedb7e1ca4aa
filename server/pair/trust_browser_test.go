//go:build browser

package pair

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ampwright/cmd/dev/chromium"

	"github.com/stretchr/testify/require"
)

// TestNameConstraints in Chromium, which has a verifier of its own and trusts the
// root by an NSS database: with the issuing key stolen, a certificate is good for the
// garage's name and for no other name or address.
func TestNameConstraintsInBrowser(t *testing.T) {
	_, err := exec.LookPath("certutil")
	require.NoError(t, err, "certutil puts the garage's certificate where Chromium looks: install libnss3-tools")
	a, err := NewAuthority("", false, time.Now())
	require.NoError(t, err)
	home := t.TempDir()
	db := filepath.Join(home, ".pki", "nssdb")
	require.NoError(t, os.MkdirAll(db, 0o700))
	root := filepath.Join(home, "root.pem")
	require.NoError(t, os.WriteFile(root, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.Root()}), 0o600))
	for _, args := range [][]string{{"-N", "--empty-password"}, {"-A", "-n", "garage", "-t", "C,,", "-i", root}} {
		out, err := exec.Command("certutil", append([]string{"-d", "sql:" + db}, args...)...).CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
	t.Setenv("HOME", home)
	path, err := chromium.Path()
	require.NoError(t, err)
	profile, err := os.MkdirTemp("", "ampwright-pair-")
	require.NoError(t, err)
	defer os.RemoveAll(profile)
	b, err := chromium.Start(path, profile, "--host-resolver-rules=MAP * 127.0.0.1")
	require.NoError(t, err)
	defer b.Kill()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()

	// visit serves a certificate for a name or an address and opens its page.
	visit := func(host string) error {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		require.NoError(t, err)
		c := &x509.Certificate{
			Subject: pkix.Name{CommonName: "server"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(24 * time.Hour),
			KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
		}
		if ip := net.ParseIP(host); ip != nil {
			c.IPAddresses = []net.IP{ip}
		} else {
			c.DNSNames = []string{host}
		}
		leaf, err := sign(c, a.issuing, &key.PublicKey, a.key)
		require.NoError(t, err)
		l, err := tls.Listen("tcp", "127.0.0.1:0", &tls.Config{Certificates: []tls.Certificate{{Certificate: [][]byte{leaf.Raw, a.issuing.Raw}, PrivateKey: key}}})
		require.NoError(t, err)
		s := server(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.Write([]byte("here")) }))
		go s.Serve(l)
		defer s.Close()
		_, port, err := net.SplitHostPort(l.Addr().String())
		require.NoError(t, err)
		at := url.URL{Scheme: "https", Host: net.JoinHostPort(host, port)}
		_, err = b.Open(ctx, at.String(), nil)
		return err
	}
	require.NoError(t, visit(a.Name))
	for _, host := range []string{"example.com", "garage-other1.local", "x" + a.Name, "93.184.215.14", "192.168.1.20"} {
		require.ErrorContains(t, visit(host), "net::ERR_CERT", host)
	}
}
