//go:build unix

package chromium

import (
	"os/exec"
	"syscall"
)

// ownGroup puts the processes of cmd into a group, which killGroup ends.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

func killGroup(cmd *exec.Cmd) { syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
