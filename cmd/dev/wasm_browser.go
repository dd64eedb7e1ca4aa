package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"ampwright/cmd/dev/chromium"
)

// runWasm runs a WebAssembly program of Go's in Chromium, as go_js_wasm_exec
// does in Node.js: for go test -exec. Its standard output and error become
// ours, its arguments are ours. The argument slower=4 before the program slows the
// processor down to a quarter.
func runWasm(ctx context.Context, args []string) error {
	slower := 1
	if len(args) > 0 && strings.HasPrefix(args[0], "slower=") {
		n, err := strconv.Atoi(strings.TrimPrefix(args[0], "slower="))
		if err != nil || n < 1 || n > 100 {
			return fmt.Errorf("%q: want a whole number from 1 to 100, such as slower=4", args[0])
		}
		slower, args = n, args[1:]
	}
	if len(args) == 0 {
		return fmt.Errorf("want exec PROGRAM.wasm ARGUMENTS")
	}
	path, err := chromium.Path()
	if err != nil {
		return err
	}
	exe, err := wasmExec(ctx)
	if err != nil {
		return err
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /wasm_exec.js", func(w http.ResponseWriter, r *http.Request) {
		http.ServeFile(w, r, filepath.Join(filepath.Dir(exe), "wasm_exec.js"))
	})
	mux.HandleFunc("GET /program.wasm", func(w http.ResponseWriter, r *http.Request) { http.ServeFile(w, r, args[0]) })
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		argv, _ := json.Marshal(append([]string{"program.wasm"}, args[1:]...))
		w.Write(bytes.ReplaceAll([]byte(wasmPage), []byte("ARGV"), argv))
	})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	server := http.Server{Handler: mux}
	go server.Serve(l)
	defer server.Close()
	profile, err := os.MkdirTemp("", "ampwright-chromium-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(profile)
	b, err := chromium.Start(path, profile)
	if err != nil {
		return err
	}
	defer b.Kill()
	code := make(chan int, 1)
	page, err := b.Open(ctx, "about:blank", func(text string) {
		if n, ok := strings.CutPrefix(text, "exit code: "); ok {
			c, err := strconv.Atoi(n)
			if err != nil {
				c = 1
			}
			select {
			case code <- c:
			default:
			}
			return
		}
		fmt.Println(text)
	})
	if err != nil {
		return err
	}
	if err := page.Slow(ctx, slower); err != nil {
		return err
	}
	if err := page.Go(ctx, "http://"+l.Addr().String()+"/"); err != nil {
		return err
	}
	select {
	case c := <-code:
		if c != 0 {
			return fmt.Errorf("exit code %d", c)
		}
		return nil
	case <-ctx.Done():
		return errors.New("interrupted")
	}
}

// wasmPage runs the program. wasm_exec.js writes whole lines to console.log.
const wasmPage = `<!doctype html><title>test</title><link rel="icon" href="data:,"><script src="wasm_exec.js"></script><script>
const go = new Go();
go.argv = ARGV;
go.exit = (code) => console.log("exit code: " + code);
WebAssembly.instantiateStreaming(fetch("program.wasm"), go.importObject).then(r => go.run(r.instance)).catch(e => { console.log(e.stack); console.log("exit code: 1"); });
</script>`
