package pair

import (
	"crypto/tls"
	"io"
	"log"
	"net"
	"net/http"

	"ampwright/server/web"
)

// server returns a server with the usual limits. What strangers send amiss is
// said nowhere: they could fill a log.
func server(h http.Handler) *http.Server {
	s := web.Server(h)
	s.ErrorLog = log.New(io.Discard, "", 0)
	return s
}

func tlsListener(l net.Listener, cfg *tls.Config) net.Listener { return tls.NewListener(l, cfg) }
