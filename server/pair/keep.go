package pair

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// write keeps v as JSON in dir, whole or not at all, for this user alone.
func write(dir, name string, v any) (err error) {
	data, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, name+".*") // 0600
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
			err = fmt.Errorf("write %s: %w", name, err)
		}
	}()
	_, err = f.Write(append(data, '\n'))
	if err = errors.Join(err, f.Chmod(0o600), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), filepath.Join(dir, name))
}

// read reads what [write] kept. Without a file the error is fs.ErrNotExist.
func read(dir, name string, v any) error {
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		return err
	}
	if err := json.Unmarshal(data, v); err != nil {
		return fmt.Errorf("read %s: %w", name, err)
	}
	return nil
}
