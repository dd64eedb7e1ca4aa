//go:build !unix

package garage

// syncDir does nothing: here a folder cannot be synced, and a rename is
// journalled by the file system.
func syncDir(string) error { return nil }
