#ifndef JSON_H
#define JSON_H

/* A value of a JSON document. Members of objects have their name; children are a list. */
typedef struct Json {
  enum { JSON_NULL, JSON_TRUE, JSON_FALSE, JSON_NUMBER, JSON_STRING, JSON_ARRAY, JSON_OBJECT } type;
  char *name;
  double number;
  char *text;
  struct Json *first, *next;
} Json;

/* Reads a whole file as JSON; ends the program with a message if it cannot. */
Json *json_of_file(const char *path);
/* The member of an object by name, or NULL. */
const Json *json_member(const Json *object, const char *name);
/* The same; ends the program if it is missing or of another type. */
const char *json_text(const Json *object, const char *name);
double json_number(const Json *object, const char *name);

/* Prints a line to stderr and ends the program with code 2. */
void fail(const char *format, ...);

#endif
