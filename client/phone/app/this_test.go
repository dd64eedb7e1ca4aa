package app

import (
	"html/template"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var hostile = rapid.OneOf(rapid.SampledFrom([]string{"", `<b>"&'+`, "javascript:x", "/phone/?a=b&c", "\x00\xff"}), rapid.String())

// The page has the bytes that html/template of the standard library makes of its
// template.
func TestThisAsTemplate(t *testing.T) {
	oracle := template.Must(template.ParseFiles("this.html"))
	text := hostile
	rapid.Check(t, func(t *rapid.T) {
		p := thisPage{
			CSS: text.Draw(t, "css"), Icon: text.Draw(t, "icon"), Home: text.Draw(t, "home"), At: text.Draw(t, "at"), Done: text.Draw(t, "done"), Fault: text.Draw(t, "fault"),
			Notes: rapid.SliceOf(text).Draw(t, "notes"), Name: text.Draw(t, "name"), Person: text.Draw(t, "person"), Replica: text.Draw(t, "replica"),
			Entries: rapid.Int().Draw(t, "entries"), Kept: rapid.Bool().Draw(t, "kept"), Used: text.Draw(t, "used"), Room: text.Draw(t, "room"), Version: text.Draw(t, "version"),
		}
		var want strings.Builder
		require.NoError(t, oracle.Execute(&want, p))
		require.Equal(t, want.String(), string(render(200, "this.html", p).Body))
	})
}

func TestPhotoAsTemplate(t *testing.T) {
	oracle := template.Must(template.ParseFiles("photo.html"))
	rapid.Check(t, func(t *rapid.T) {
		p := photoPage{CSS: hostile.Draw(t, "css"), Icon: hostile.Draw(t, "icon"), Home: hostile.Draw(t, "home"), Src: hostile.Draw(t, "src"), Name: hostile.Draw(t, "name")}
		var want strings.Builder
		require.NoError(t, oracle.Execute(&want, p))
		require.Equal(t, want.String(), string(render(200, "photo.html", p).Body))
	})
}
