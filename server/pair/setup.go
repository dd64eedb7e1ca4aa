package pair

import (
	"bytes"
	_ "embed"
	"html/template"
	"net"
	"net/http"
	"slices"

	"ampwright/client/static"
	"ampwright/server/web"
)

//go:embed setup.html
var setupSource string

var setupTemplate = template.Must(template.New("setup").Parse(setupSource))

// setup is all that setup.html can see.
type setup struct {
	assets
	Name, Fingerprint, Pair string
	Addresses               bool
}

// assets are addresses that the pages here share with the garage's own.
type assets struct{ CSS, Icon string }

var look = assets{"/static/" + static.Name("look.css"), "/static/" + static.Name("icon.svg")}

// setupPage serves the one page on plain http, and the root certificate. Nothing
// on it is secret, and nothing of it can be believed: the fingerprint is compared
// with the laptop's screen.
func (d *Desk) setupPage(a *Authority, port string) http.Handler {
	own := d.cfg.Addresses()
	where := place(a, own)
	page := setup{look, a.Name, a.Fingerprint(), where.Origins[len(where.Origins)-1] + "/pair", a.Addresses}
	hosts := []string{net.JoinHostPort(a.Name, port)}
	for _, ip := range own {
		hosts = append(hosts, net.JoinHostPort(ip.String(), port))
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		var out bytes.Buffer
		if err := setupTemplate.Execute(&out, page); err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write(out.Bytes())
	})
	mux.HandleFunc("GET /authority.crt", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/x-x509-ca-cert")
		w.Header().Set("Content-Disposition", `attachment; filename="authority.crt"`)
		w.Write(a.Root())
	})
	mux.HandleFunc("GET /static/{address}", func(w http.ResponseWriter, r *http.Request) {
		f, ok := static.Get(r.PathValue("address"))
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", f.Type)
		w.Write(f.Body)
	})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		web.SetHeaders(w.Header())
		w.Header().Del("Cross-Origin-Opener-Policy") // browsers leave it aside without https, and complain
		if !slices.Contains(hosts, r.Host) {
			web.NoteRefusal(d.cfg.Log, r, "host")
			http.Error(w, "this server does not go by that name", http.StatusMisdirectedRequest)
			return
		}
		mux.ServeHTTP(w, r)
	})
}
