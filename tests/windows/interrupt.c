/* Runs a program, and presses Ctrl-C once it has written something: interrupt FILE PROGRAM [ARGUMENTS]. FILE may have a "*". The
   exit status is that of the program; 96 if it does not end, 97 if there is no console, 98 if it cannot be started. */
#include <stdio.h>
#include <string.h>
#include <windows.h>

/* The key reaches every program of the console, so this one, too. */
static BOOL WINAPI stay(DWORD event) {
  (void)event;
  return TRUE;
}

static int has_written(const char *file) {
  WIN32_FIND_DATAA found = {0};
  HANDLE search = FindFirstFileA(file, &found);
  if (search != INVALID_HANDLE_VALUE) FindClose(search);
  return found.nFileSizeLow > 0;
}

int main(int count, char **word) {
  char line[8192] = "";
  STARTUPINFOA start = {.cb = sizeof start};
  PROCESS_INFORMATION child;
  DWORD status = 96;
  for (int at = 2; at < count; at++) {
    size_t length = strlen(line);
    snprintf(line + length, sizeof line - length, "\"%s\" ", word[at]);
  }
  SetConsoleCtrlHandler(stay, TRUE);
  if (count < 3 || !CreateProcessA(NULL, line, NULL, NULL, TRUE, 0, NULL, NULL, &start, &child)) return 98;
  for (int waited = 0; waited < 600 && !has_written(word[1]); waited++) Sleep(100);
  if (!GenerateConsoleCtrlEvent(CTRL_C_EVENT, 0)) status = 97;
  else if (WaitForSingleObject(child.hProcess, 60000) == WAIT_OBJECT_0) GetExitCodeProcess(child.hProcess, &status);
  TerminateProcess(child.hProcess, status);
  return (int)status;
}
