package web

import (
	"net/http"
	"os"
	"path/filepath"
	"time"
)

// BackupPath is where a form is posted to for a backup in a file.
const BackupPath = "/backup"

// backupWithin is how long a backup may take, with all its photos.
const backupWithin = 10 * time.Minute

// backup answers with a backup as a file. save writes one into a folder that is
// this user's alone, and returns its path.
func backup(save func(folder string) (string, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := sendBackup(w, r, save); err != nil {
			http.Error(w, "no backup was made: "+err.Error(), http.StatusInternalServerError)
		}
	}
}

// sendBackup returns an error only if nothing has been sent.
func sendBackup(w http.ResponseWriter, r *http.Request, save func(string) (string, error)) error {
	folder, err := os.MkdirTemp("", "ampwright-backup-") // mode 0700
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	http.NewResponseController(w).SetWriteDeadline(time.Now().Add(backupWithin)) // an error: the usual time holds
	path, err := save(folder)
	if err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	h := w.Header()
	h.Set("Content-Type", "application/octet-stream")
	h.Set("Content-Disposition", `attachment; filename="`+filepath.Base(path)+`"`)
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}
