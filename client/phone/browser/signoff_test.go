//go:build browser

package browser

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A release on the phone is signed with its key for sign-offs, in the same act.
func TestSignedRelease(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.open("http://" + l.addr + "/phone/")
	tab.send("start", "plan", "kart-chain", "title", "Wren", "currency", "EUR")
	tab.wait(`location.pathname.startsWith("/phone/b/")`)
	build := tab.text("location.pathname")
	tab.tap(build + "write/read?check=pedal-returns")
	tab.send("read", "value", "yes")
	tab.tap(build + "write/release?point=pedal-returns")
	tab.send("release", "note", "one spring off")
	tab.tap(build + "logbook")
	require.Regexp(t, `release of pedal-returns, key ([0-9a-f]{4} ){3}[0-9a-f]{4}, EdDSA`, tab.text("main()"))
	tab.tap(build + "record")
	require.Regexp(t, `on phone of builder\s+key ([0-9a-f]{4} ){3}`, tab.text("main()"))
}
