# Turns the files of data/ into one C file: an array of {name, text}. Run by the build: cmake -DOUT= -DFILES= -P embed.cmake
# Hexadecimal bytes, because a C string literal is limited to 4095 characters.
set(body "/* Generated from data/ by tools/embed.cmake; edit the tables there. */\n#include \"exchange/tables_internal.h\"\n\n")
set(index "")
foreach(file ${FILES})
  get_filename_component(name ${file} NAME_WE)
  file(READ ${file} hex HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
  string(REGEX REPLACE "(................................................................................)" "\\1\n" bytes "${bytes}")
  string(APPEND body "static const unsigned char table_${name}[] = {\n${bytes}0};\n")
  string(APPEND index "    {\"${name}\", (const char *)table_${name}, sizeof table_${name} - 1},\n")
endforeach()
# A row of nothing at the end, so that the array exists with no table too.
string(APPEND body "\nconst lw_embedded lw_embedded_tables[] = {\n${index}    {0, 0, 0}};\n")
string(APPEND body "const unsigned lw_embedded_count = sizeof lw_embedded_tables / sizeof lw_embedded_tables[0] - 1;\n")
file(WRITE ${OUT} "${body}")
