package socket_test

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"math/big"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"ampwright/server/socket"
	"ampwright/sync/keep"
	"ampwright/sync/link"

	"github.com/stretchr/testify/require"
)

// certified returns a chain for a server of one name, and its authority's pin. end
// is when the server's ends.
func certified(t *testing.T, name, allowed string, end time.Time) (tls.Certificate, socket.Pin) {
	t.Helper()
	signed := func(c, parent *x509.Certificate, key, by *ecdsa.PrivateKey) *x509.Certificate {
		c.SerialNumber, c.NotBefore = big.NewInt(1), time.Now().Add(-48*time.Hour)
		der, err := x509.CreateCertificate(rand.Reader, c, parent, &key.PublicKey, by)
		require.NoError(t, err)
		made, err := x509.ParseCertificate(der)
		require.NoError(t, err)
		return made
	}
	key := func() *ecdsa.PrivateKey {
		k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		require.NoError(t, err)
		return k
	}
	authority, server := key(), key()
	ca := &x509.Certificate{
		Subject: pkix.Name{CommonName: "an authority"}, NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign,
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: []string{allowed},
	}
	ca = signed(ca, ca, authority, authority)
	leaf := signed(&x509.Certificate{
		Subject: pkix.Name{CommonName: name}, NotAfter: end, DNSNames: []string{name}, KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}, ca, server, authority)
	return tls.Certificate{Certificate: [][]byte{leaf.Raw, ca.Raw}, PrivateKey: server}, sha256.Sum256(ca.Raw)
}

// A server is trusted by the hash of its authority's certificate, whatever address
// it has, for the name that this may sign and while its own is good; no other
// certificate helps.
func TestPin(t *testing.T) {
	r := newReplica(t, keep.NewMemory())
	s := socket.NewServer(socket.Config{Link: func() link.Config { return r.config(false) }})
	t.Cleanup(func() { require.NoError(t, s.Close()) })
	later := time.Now().Add(time.Hour)
	at := func(c tls.Certificate) *url.URL {
		h := httptest.NewUnstartedServer(s)
		h.TLS = &tls.Config{Certificates: []tls.Certificate{c}}
		h.StartTLS()
		t.Cleanup(h.Close)
		u, err := socket.ParseAddress("wss://" + h.Listener.Addr().String())
		require.NoError(t, err)
		return u
	}
	good, pin := certified(t, "garage-k3x7q2.local", "garage-k3x7q2.local", later)
	other, otherPin := certified(t, "garage-k3x7q2.local", "garage-k3x7q2.local", later)
	conn, err := socket.Dial(context.Background(), at(good), otherPin, pin)
	require.NoError(t, err)
	require.NoError(t, conn.Close())

	refused := func(c tls.Certificate, why string, pins ...socket.Pin) {
		t.Helper()
		_, err := socket.Dial(context.Background(), at(c), pins...)
		require.ErrorContains(t, err, why)
	}
	refused(good, "certificate")
	refused(good, "certificate", otherPin)
	refused(other, "certificate", pin)
	between := other // the authority's certificate is shown, and has not signed
	between.Certificate = [][]byte{other.Certificate[0], good.Certificate[1]}
	refused(between, "signed by unknown authority", pin)
	ended, endedPin := certified(t, "garage-k3x7q2.local", "garage-k3x7q2.local", time.Now().Add(-time.Hour))
	refused(ended, "expired", endedPin)
	stray, strayPin := certified(t, "garage-other.local", "garage-k3x7q2.local", later)
	refused(stray, "not permitted", strayPin)
}

func TestParsePinned(t *testing.T) {
	var v socket.Invitations
	text, _ := v.Open(time.Now())
	pin := socket.Pin(sha256.Sum256([]byte("a certificate")))
	both := socket.Pinned(text, pin)
	require.Len(t, both, 77)
	for _, typed := range []string{both, strings.ToLower(both), " " + both[:40] + " " + both[40:] + "\n"} {
		secret, got, err := socket.ParsePinned(typed)
		require.NoError(t, err)
		require.Equal(t, v.Secret(time.Now()), secret)
		require.Equal(t, pin, *got)
	}
	secret, got, err := socket.ParsePinned(text)
	require.NoError(t, err)
	require.Nil(t, got)
	require.Equal(t, v.Secret(time.Now()), secret)
	_, _, err = socket.ParsePinned(both[:76])
	require.EqualError(t, err, "invitation of 76 characters, want 26, or 77 with a garage on the local network")
	_, _, err = socket.ParsePinned(both[:76] + "1")
	require.EqualError(t, err, "invitation with other characters than letters and the digits 2 to 7")
}
