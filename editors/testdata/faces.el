;;; faces.el --- The faces of each line of files  -*- lexical-binding: t -*-

;; Reads the names of files on standard input and writes {file: [[{start, end, name}]]},
;; in bytes.

(require 'json)
(require 'sewable-mode)

(defun faces-name (face)
  "FACE without what all names of faces have around them."
  (let ((name (if face (symbol-name (if (consp face) (car face) face)) "")))
    (string-remove-suffix "-face" (string-remove-prefix "font-lock-" name))))

(defun faces-line ()
  "The pieces of the line that point is on."
  (let ((at (point)) (bol (point)) pieces)
    (while (< at (line-end-position))
      (let ((next (min (line-end-position) (next-single-property-change at 'face nil (line-end-position)))))
        (push `((start . ,(string-bytes (buffer-substring bol at)))
                (end . ,(string-bytes (buffer-substring bol next)))
                (name . ,(faces-name (get-text-property at 'face))))
              pieces)
        (setq at next)))
    (vconcat (nreverse pieces))))

(let ((out (make-hash-table :test #'equal)) file)
  (while (setq file (ignore-errors (read-from-minibuffer "")))
    (unless (string-empty-p file)
      (with-current-buffer (find-file-noselect file)
        (unless (eq major-mode 'sewable-mode) (error "%s is in %s" file major-mode))
        (font-lock-ensure)
        (goto-char (point-min))
        (let (lines (more t))
          (while more
            (push (faces-line) lines)
            (setq more (and (zerop (forward-line)) (bolp))))
          (puthash file (vconcat (nreverse lines)) out))
        (kill-buffer))))
  (set-buffer-multibyte t)
  (princ (decode-coding-string (encode-coding-string (json-serialize out) 'utf-8) 'utf-8)))
