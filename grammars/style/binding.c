// The Python module migrate._style: language() gives the grammar to tree_sitter.Language, as a capsule.
#include <Python.h>

typedef struct TSLanguage TSLanguage;
const TSLanguage *tree_sitter_style(void);

static PyObject *language(PyObject *self, PyObject *unused) {
  (void)self, (void)unused;
  return PyCapsule_New((void *)tree_sitter_style(), "tree_sitter.Language", NULL);
}

static PyMethodDef methods[] = {
  {"language", language, METH_NOARGS, "The grammar of style code, for tree_sitter.Language."},
  {NULL, NULL, 0, NULL},
};

static struct PyModuleDef module = {
  PyModuleDef_HEAD_INIT, "_style", "The generated parser of style code.", -1, methods, NULL, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit__style(void) { return PyModule_Create(&module); }
