package web

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"

	"ampwright/client/phone/bundle"
	"ampwright/client/static"
	"ampwright/server/picture"
)

//go:embed phone.html
var shellSource string

var shellTemplate = template.Must(template.New("shell").Parse(shellSource))

const phonePath = "/phone/"

// phone hands out the phone's program: an empty page for every address below
// /phone/, into which the program is loaded, and the files for it. None of them
// holds anything of the logbook.
type phone struct {
	bundle  *bundle.Bundle
	version string   // changes with any of the files
	files   []string // addresses that never change their bytes
	shell   []byte
	worker  []byte // sw.js with its constants before it
	err     error  // why there is no program
}

func newPhone(b *bundle.Bundle, err error) (*phone, error) {
	p := &phone{bundle: b, err: err}
	if errors.Is(err, bundle.ErrNotBuilt) {
		return p, nil
	}
	if err != nil {
		return nil, err
	}
	for _, name := range bundle.Names {
		if name != "sw.js" { // its address must stay, or browsers keep two of them
			p.files = append(p.files, phonePath+"files/"+b.Address(name))
		}
	}
	for _, name := range static.Names() {
		if name != "OFL.txt" {
			p.files = append(p.files, "/static/"+static.Name(name))
		}
	}
	slices.Sort(p.files)
	var shell strings.Builder
	page := map[string]string{"Manifest": phonePath + "app.webmanifest", "ServiceWorker": phonePath + "sw.js"}
	for field, name := range map[string]string{"CSS": "look.css", "Icon": "icon.svg", "Touch": "icon-192.png", "Awake": "awake.js"} {
		page[field] = "/static/" + static.Name(name)
	}
	for field, name := range map[string]string{"Boot": "boot.js", "Worker": "worker.js", "Program": "phone.packed"} {
		page[field] = phonePath + "files/" + b.Address(name)
	}
	page["HEIC"], page["None"] = picture.ErrHEIC.Error(), picture.ErrNone.Error()
	page["Version"] = "phone " + strings.Split(b.Address("phone.packed"), ".")[1]
	if err := shellTemplate.Execute(&shell, page); err != nil {
		return nil, err
	}
	p.shell = []byte(shell.String())
	source, err := b.Named("sw.js").Plain()
	if err != nil {
		return nil, err
	}
	list, err := json.Marshal(p.files)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte(shell.String() + string(list) + string(source)))
	p.version = hex.EncodeToString(sum[:6])
	p.worker = fmt.Appendf(nil, "const version = %q, shell = %q, files = %s;\n%s", p.version, phonePath, list, source)
	return p, nil
}

func (p *phone) routes(mux *http.ServeMux) {
	if p.err != nil {
		mux.HandleFunc("/phone/", p.missing)
		return
	}
	mux.HandleFunc("GET /phone/", func(w http.ResponseWriter, r *http.Request) { send(w, "text/html; charset=utf-8", p.shell) })
	mux.HandleFunc("GET /phone/sw.js", func(w http.ResponseWriter, r *http.Request) { send(w, "text/javascript; charset=utf-8", p.worker) })
	mux.HandleFunc("GET /phone/app.webmanifest", manifest)
	mux.HandleFunc("GET /phone/files/{address}", p.file)
}

func send(w http.ResponseWriter, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Write(body)
}

// missing says how to make what is not there.
func (p *phone) missing(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(http.StatusNotFound)
	fmt.Fprintf(w, "%v.\n\nIn the folder of the source, run\n\n    go run ./cmd/dev build\n\nand compile and start this program again. The pages at / work without it.\n", p.err)
}

// file serves a file whose address changes with its bytes.
func (p *phone) file(w http.ResponseWriter, r *http.Request) {
	f, ok := p.bundle.Get(r.PathValue("address"))
	if !ok {
		http.Error(w, "there is no such file", http.StatusNotFound)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", forever)
	h.Set("Vary", "Accept-Encoding")
	body := f.Brotli
	switch coding := coding(r.Header.Get("Accept-Encoding")); coding {
	case "br":
		h.Set("Content-Encoding", coding)
	case "gzip":
		h.Set("Content-Encoding", coding)
		body = f.Gzip
	default:
		plain, err := f.Plain()
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		body = plain
	}
	send(w, f.Type, body)
}

// coding chooses the smallest of what a client takes.
func coding(accept string) string {
	for _, want := range []string{"br", "gzip"} {
		if codes(accept, want) {
			return want
		}
	}
	return ""
}

// codes reports whether a client takes a coding, by RFC 9110, section 12.5.3: with
// whatever weight above 0. "*" is not looked at: no browser sends it alone.
func codes(accept, want string) bool {
	for _, one := range strings.Split(accept, ",") {
		name, weight, _ := strings.Cut(one, ";")
		weight = strings.Trim(strings.TrimSpace(weight), "0.")
		if strings.EqualFold(strings.TrimSpace(name), want) && weight != "q=" {
			return true
		}
	}
	return false
}

// manifest is what a browser needs to put the program on the home screen (W3C,
// "Web Application Manifest").
func manifest(w http.ResponseWriter, r *http.Request) {
	type icon struct {
		Src     string `json:"src"`
		Sizes   string `json:"sizes"`
		Type    string `json:"type"`
		Purpose string `json:"purpose"`
	}
	icons := []icon{}
	for _, i := range []struct{ name, sizes, purpose string }{
		{"icon-192.png", "192x192", "any"}, {"icon-512.png", "512x512", "any"}, {"icon-maskable-512.png", "512x512", "maskable"},
	} {
		icons = append(icons, icon{"/static/" + static.Name(i.name), i.sizes, "image/png", i.purpose})
	}
	body, err := json.MarshalIndent(map[string]any{
		"id": phonePath, "name": "Ampwright", "short_name": "Ampwright", "description": "The logbook of a conversion, in the hand",
		"start_url": phonePath, "scope": phonePath, "display": "standalone", "lang": "en",
		"background_color": "#f5f2ea", "theme_color": "#f5f2ea", "icons": icons,
	}, "", "  ")
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	send(w, "application/manifest+json", body)
}
