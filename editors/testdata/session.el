;;; session.el --- A session with eglot  -*- lexical-binding: t -*-

;; Works on the dinghy in the folder it is started in, and writes what it saw to
;; $SEWABLE_OUT.  Uses the commands that a user calls.

;; Where Debian has eglot for an Emacs that does not bring it along.
(dolist (dir (file-expand-wildcards "/usr/share/emacs/site-lisp/elpa-src/*"))
  (add-to-list 'load-path dir))
(require 'eglot)
(require 'sewable-mode)
(require 'json)
(require 'flymake)

(defvar session nil "What was seen.")

(defun saw (key value) "Note VALUE under KEY." (push (cons key value) session))

(defun wait-for (what done)
  "Wait until DONE gives something; WHAT says what for."
  (let ((end (+ (float-time) 60)) value)
    (while (not (setq value (funcall done)))
      (when (> (float-time) end) (error "Waited in vain for %s" what))
      (accept-process-output nil 0.01))
    value))

(defun text () "The text of the buffer." (substring-no-properties (buffer-string)))

(defun go (words)
  "Move before WORDS."
  (goto-char (point-min))
  (search-forward words)
  (goto-char (match-beginning 0)))

(defun typed ()
  "Send what was typed.  Eglot does when Emacs is idle, which in batch it never is."
  (eglot--signal-textDocument/didChange))

(defun found ()
  "The diagnostics of flymake."
  (typed)
  (flymake-start)
  (flymake-diagnostics))

(setq eglot-confirm-server-initiated-edits nil
      eglot-autoreconnect nil
      eglot-send-changes-idle-time 0
      eglot-sync-connect 60
      make-backup-files nil
      create-lockfiles nil
      enable-local-variables nil)

(defun run-session ()
  "What every editor must be able to do."
  (find-file "dinghy.block")
  (unless (eq major-mode 'sewable-mode) (error "The mode is %s" major-mode))
  (let ((project-find-functions (list (lambda (dir) (cons 'transient dir)))))
    (apply #'eglot (eglot--guess-contact)))
  (wait-for "a diagnostic" #'found)
  (saw 'findings
       (vconcat (mapcar (lambda (d)
                          (goto-char (flymake-diagnostic-beg d))
                          (let ((lsp (alist-get 'eglot-lsp-diag (flymake-diagnostic-data d))))
                            `((line . ,(1- (line-number-at-pos)))
                              (column . ,(current-column))
                              (message . ,(plist-get lsp :message))
                              (code . ,(plist-get lsp :code)))))
                        (flymake-diagnostics))))

  (go "patch 7")
  (let (told)
    (eglot-hover-eldoc-function (lambda (text &rest _) (setq told text)))
    (saw 'hover (substring-no-properties (wait-for "a hover" (lambda () told)))))

  (go "skyy")
  (let ((action (seq-find (lambda (a) (string-match-p "sky" (plist-get a :title)))
                          (eglot-code-actions (point) (1+ (point)) "quickfix"))))
    (unless action (error "There is no fix"))
    (cl-letf ((last-nonmenu-event ?x) ; not a mouse
              ((symbol-function 'completing-read)
               (lambda (_ choices &rest _) (car (seq-find (lambda (c) (string-match-p "sky" (car c))) choices)))))
      (eglot-code-actions (point) (1+ (point)) "quickfix" t)))
  (wait-for "the fix" (lambda () (not (string-match-p "skyy" (text)))))
  (saw 'fixed (text))
  (wait-for "the end of the finding" (lambda () (null (found))))

  (go "patch 7")
  (end-of-line)
  (insert "\n    patch 8 ")
  (typed)
  (let* ((capf (eglot-completion-at-point))
         (table (nth 2 capf)))
    (saw 'completions
         (vconcat (mapcar (lambda (c) (string-trim (substring-no-properties c)))
                          (all-completions "" table nil)))))
  (delete-region (line-beginning-position 1) (line-end-position))
  (delete-char -1)
  (typed)

  (go "foam  around")
  (let ((dinghy (current-buffer)))
    (cl-letf (((symbol-function 'y-or-n-p) (lambda (&rest _) t)))
      (eglot-rename "spume"))
    (set-buffer dinghy)
    (wait-for "the rename" (lambda () (not (string-match-p "foam" (text)))))
    (saw 'renamed (text))
    (saw 'palette (with-current-buffer (find-file-noselect "palette.block") (text)))

    (set-buffer dinghy)
    (goto-char (point-min))
    (re-search-forward "patch 4 .*beyond")
    (replace-match "  patch   4 cedar    beyond")
    (typed)
    (eglot-format-buffer)
    (saw 'formatted (text))

    (eglot-shutdown (eglot-current-server))))

(condition-case problem
    (run-session)
  (error (saw 'problem (format "%S" problem))))
(with-temp-file (getenv "SEWABLE_OUT")
  (insert (decode-coding-string (json-serialize session) 'utf-8)))
(dolist (b (buffer-list)) (with-current-buffer b (set-buffer-modified-p nil)))
(kill-emacs 0)
