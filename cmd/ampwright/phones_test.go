package main

import (
	"crypto/tls"
	"crypto/x509"
	"net/http"
	"os"
	"strconv"
	"testing"
	"time"

	"ampwright/server/pair"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A lost phone is struck off by the command line, while the server runs and
// without the phone: it has no token any more, and the last one gone, nothing
// listens.
func TestStrikeOffPhone(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, another(t, "demo", dir).Run())
	phones, err := pair.ReadPhones(dir)
	require.NoError(t, err)
	token, err := phones.Add("pocket phone", time.Now())
	require.NoError(t, err)
	require.NoError(t, phones.Bind(phones.List()[0].ID, uuid.MustParse("4845524f-4e00-4000-8000-00000000000b"))) // the demo's
	a, err := pair.NewAuthority("", false, time.Now())
	require.NoError(t, err)
	require.NoError(t, a.Write(dir))

	server := served(t, dir)
	roots := x509.NewCertPool()
	root, err := x509.ParseCertificate(a.Root())
	require.NoError(t, err)
	roots.AddCert(root)
	port := func() int {
		a, err := pair.ReadAuthority(dir)
		require.NoError(t, err)
		return a.Port
	}
	require.Eventually(t, func() bool { return port() != 0 }, 10*time.Second, 10*time.Millisecond)
	address := "127.0.0.1:" + strconv.Itoa(port())
	phone := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots, ServerName: a.Name}}}
	ask := func() (int, error) {
		req, err := http.NewRequest("GET", "https://"+address+"/", nil)
		require.NoError(t, err)
		req.Host = a.Name + ":" + strconv.Itoa(port())
		req.AddCookie(&http.Cookie{Name: "__Host-phone", Value: token})
		resp, err := phone.Do(req)
		if err != nil {
			return 0, err
		}
		return resp.StatusCode, resp.Body.Close()
	}
	status, err := ask()
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, status)

	began := time.Now()
	require.NoError(t, another(t, "strike-off", "pocket phone", "lost on the train", "--garage", dir).Run())
	require.Eventually(t, func() bool { _, err := ask(); return err != nil }, 10*time.Second, 10*time.Millisecond)
	t.Logf("nothing listens %v after the command began", time.Since(began))
	server.end(t, os.Interrupt, 130)
	phones, err = pair.ReadPhones(dir)
	require.NoError(t, err)
	require.Empty(t, phones.List())
	require.Contains(t, server.talk.String(), "struck off the list and can reach this garage no more: 1")
}
