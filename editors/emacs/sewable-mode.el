;;; sewable-mode.el --- Foundation-pieced quilt blocks  -*- lexical-binding: t -*-

;; Version: 0.1.0
;; Package-Requires: ((emacs "26.1"))
;; Keywords: languages
;; SPDX-License-Identifier: MIT

;;; Commentary:

;; Colours and indents `.block' files.  With eglot, which Emacs 29 brings along, the
;; language server does the rest:
;;
;;   (require 'sewable-mode)
;;   (add-hook 'sewable-mode-hook #'eglot-ensure)

;;; Code:

(require 'sewable-words)

(defvar sewable-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?/ ". 12" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?_ "w" table)
    (dolist (c '(?+ ?- ?* ?=)) (modify-syntax-entry c "." table))
    (modify-syntax-entry ?# "'" table)
    table)
  "Comments run from // to the end of the line, strings stand in double quotes.")

(defconst sewable-font-lock-keywords
  (let ((fraction (format "\\(?:[0-9]+/[0-9]+\\|[%s]\\)" sewable-vulgar))
        (words (lambda (list) (regexp-opt list 'words))))
    `(("//\\s-*\\(accept\\s-+[A-Za-z0-9-]+\\)\\s-*\\(?::\\|$\\)" 1 font-lock-warning-face prepend)
      ("#\\(?:[[:xdigit:]]\\{6\\}\\|[[:xdigit:]]\\{3\\}\\)\\>" . font-lock-constant-face)
      (,(concat "\\_<\\([0-9]+\\(?:\\.[0-9]+\\)?\\)\\(" (regexp-opt sewable-units) "\\)\\_>")
       (1 font-lock-constant-face) (2 font-lock-type-face))
      (,(concat "\\(?:\\_<\\|[0-9]\\|[" sewable-vulgar "]\\)\\(" (regexp-opt sewable-units) "\\)\\_>") 1 font-lock-type-face)
      (,(concat "\\_<[0-9]+\\(?:-\\|[ \t]*\\)" fraction "\\|\\_<[0-9]+/[0-9]+\\|[" sewable-vulgar "]\\|\\_<[0-9]*\\.[0-9]+\\|\\.[0-9]+\\|\\_<[0-9]+\\_>")
       . font-lock-constant-face)
      (,(funcall words sewable-statements) . font-lock-keyword-face)
      (,(concat "\\_<" (regexp-opt sewable-contextual t) "\\_>[ \t]+[0-9]") 1 font-lock-builtin-face)
      (,(funcall words sewable-points) . font-lock-function-name-face)
      (,(funcall words sewable-others) . font-lock-builtin-face)
      (,(concat "^\\s-*\\(" (regexp-opt sewable-first) "\\)\\_>\\s-*\\(?:[^= \t\n]\\|$\\)") 1 font-lock-keyword-face)))
  "What can be coloured without understanding the file.")

(defun sewable-indent-line ()
  "Indent by two for each brace that is open."
  (interactive)
  (let ((depth (save-excursion
                 (back-to-indentation)
                 (let ((open (nth 9 (syntax-ppss))))
                   (- (seq-count (lambda (at) (eq (char-after at) ?{)) open)
                      (if (eq (char-after) ?}) 1 0))))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to (* 2 (max 0 depth)))
      (save-excursion (indent-line-to (* 2 (max 0 depth)))))))

;;;###autoload
(define-derived-mode sewable-mode prog-mode "Sewable"
  "For foundation-pieced quilt blocks."
  (setq-local comment-start "// "
              comment-end ""
              comment-start-skip "//+\\s-*"
              indent-tabs-mode nil
              indent-line-function #'sewable-indent-line
              electric-indent-chars (append "}\n" electric-indent-chars)
              font-lock-defaults '(sewable-font-lock-keywords)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.block\\'" . sewable-mode))

(defvar eglot-server-programs)
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(sewable-mode . ("sewable" "lsp"))))

(declare-function eglot-current-server "eglot")
(declare-function eglot-client-capabilities "eglot")
(declare-function eglot--path-to-uri "eglot")
(declare-function jsonrpc-request "jsonrpc")

(defun sewable-preview ()
  "Show the block of this buffer in the browser, as it is typed."
  (interactive)
  (let ((server (eglot-current-server)))
    (unless server (user-error "Start the language server first: M-x eglot"))
    (let ((address (jsonrpc-request
                    server :workspace/executeCommand
                    (list :command "sewable.preview"
                          :arguments (vector (eglot--path-to-uri buffer-file-name))))))
      ;; An Eglot that can show documents has opened it already.
      (unless (plist-get (plist-get (eglot-client-capabilities server) :window) :showDocument)
        (browse-url address))
      address)))

(provide 'sewable-mode)
;;; sewable-mode.el ends here
